"""outcome.yaml: what is known is read, what is not is told, what is malformed is one line."""

from __future__ import annotations

from pathlib import Path

import pytest

from stainbook.errors import FileError
from stainbook.files.outcome import read_outcome
from stainbook.kept import FiredZone, Firing
from stainbook.records import LabRef, Layer, Pot, SampleRef, Viewing
from tests.contract.formats import block

ZONE = "zones: [{tooth: 11, zone: cervical, layers: [{pot: {husk: 1/4}, coats: 1}], after: {sample: x}}]\n"


def read(tmp_path: Path, text: str):
    path = tmp_path / "outcome.yaml"
    path.write_text(text, encoding="utf-8")
    return read_outcome(path)


def test_the_example_of_the_contract(tmp_path: Path) -> None:
    found = read(tmp_path, block("outcome.yaml"))
    (report,) = found.records
    assert found.warnings == ()
    assert (report.firing.case, report.firing.operator, report.firing.programme) == ("W-1042", "bench-2", "glaze-770")
    assert report.firing.fired_at == "2026-03-02T10:40:00Z"
    (zone,) = report.zones
    readings = tmp_path / "readings.csv"
    assert zone == FiredZone(
        11,
        "cervical",
        "tooth",
        (Layer(Pot.of({"husk": 0.25, "teasel": 0.5})),),
        after=SampleRef("W-1042-11-cervical-f1", readings),
        before=SampleRef("W-1042-11-cervical", readings),
        source=zone.source,
    )
    assert "row" in zone.source


def test_everything_that_may_be_told(tmp_path: Path) -> None:
    text = (
        "case: 0117\nfired_at: 2026-03-02T11:40:00+01:00\nfurnace: no\nfinish: Glaze\naccepted_by: clinic\n"
        "returned: clinic change\nminutes: 48.5\nclinic: Harbour\nlots: {husk: 0118}\n"
        "zones: [{tooth: 11, zone: neck, tissue: tooth, recipe: warm, note: thin, before: {L: 70, a: 1, b: 15}, "
        "after: {L: 71, a: 1, b: 16, illuminant: D65, observer: 2},"
        "layers: [{pot: {}}, {pot: {husk: 1/2}, coats: 2, consistency: stiff, method: spray, lots: {husk: 24-117}}]}]"
    )
    (report,) = read(tmp_path, text).records
    assert report.firing.told == Firing(
        "0117",
        "2026-03-02T10:40:00Z",
        furnace="no",
        finish="glaze",
        accepted_by="clinic",
        returned="clinic change",
        minutes=48.5,
        clinic="Harbour",
    )
    assert report.lots == (("husk", "0118"),)
    (zone,) = report.zones
    assert zone.before == LabRef((70.0, 1.0, 15.0), Viewing("unknown", 0))
    assert zone.after == LabRef((71.0, 1.0, 16.0), Viewing("D65", 2))
    assert zone.layers == (Layer(Pot()), Layer(Pot.of({"husk": 0.5}), 2, (("husk", "24-117"),), "stiff", "spray"))
    assert (zone.recipe, zone.note) == ("warm", "thin")


def test_layers_as_advise_prints_them_and_keys_that_are_not_known(tmp_path: Path) -> None:
    text = ZONE.replace("coats: 1", 'coats: 1, why: "near"').replace("zones", "mood: good\nzones")
    found = read(tmp_path, f"case: x\n{text}")
    assert found.records[0].zones[0].layers == (Layer(Pot.of({"husk": 0.25})),)
    assert "'mood', 'why'" in found.warnings[0]


def test_layers_as_plan_prints_them(tmp_path: Path) -> None:
    pots = "pots: [{id: A, pot: {husk: 1/4}, zones: 3}, {id: B, pot: {teasel: 1/2}}]\n"
    text = f"case: x\n{pots}" + ZONE.replace("{husk: 1/4}", "A")
    found = read(tmp_path, text.replace("coats: 1", "coats: 2"))
    assert found.records[0].zones[0].layers == (Layer(Pot.of({"husk": 0.25}), 2),)


def test_a_tray_as_plan_prints_it_is_a_firing_of_each_piece(tmp_path: Path) -> None:
    cases = "cases:\n- {case: x, pots: [{id: Y, pot: {husk: 1/4}}], "
    cases += "zones: [{tooth: 11, zone: middle, layers: [{pot: Y}]}]}\n"
    cases += "- {case: y, furnace: two, zones: [{tooth: 21, zone: middle, layers: [{pot: {teasel: 1/2}}]}]}\n"
    one, other = read(tmp_path, f"fired_at: 2026-03-02T10:40:00Z\nfurnace: one\nminutes: 9\n{cases}").records
    assert (one.firing.case, other.firing.case) == ("x", "y")
    assert (one.firing.furnace, other.firing.furnace) == ("one", "two")
    assert {(each.firing.fired_at, each.firing.minutes, each.firing.run) for each in (one, other)} == {
        ("2026-03-02T10:40:00Z", 9.0, "tray x, y")
    }
    assert one.zones[0].layers == (Layer(Pot.of({"husk": 0.25})),)
    with pytest.raises(FileError, match="found no case, expected one case or more"):
        read(tmp_path, "cases: []\n")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (ZONE, ("no case",)),
        ("case: x\n", ("no zones",)),
        ("case: x\nzones: []\n", ("no zone", "one zone or more")),
        (f"case: x\nfired_at: yesterday\n{ZONE}", ("row 2", "'yesterday'", "2026-03-02T10:40:00Z")),
        (f"case: x\nreturned: taste\n{ZONE}", ("row 2", "'taste'", "shade")),
        (f"case: x\naccepted_by: me\n{ZONE}", ("'me'", "lab, clinic, patient")),
        (f"case: x\nminutes: -1\n{ZONE}", ("'-1'", "number")),
        ("case: x\n" + ZONE.replace("1/4", "5/4"), ("'5/4'", "share above 0")),
        ("case: x\n" + ZONE.replace("{husk: 1/4}", "C"), ("C", "shares such as")),
        ("case: x\npots: [{id: A, pot: {}}]\n" + ZONE.replace("{husk: 1/4}", "C"), ("C", "one of A")),
        ("case: x\n" + ZONE.replace("coats: 1", "coats: 0"), ("'0'", "whole number")),
        ("case: x\n" + ZONE.replace("tooth: 11", "tooth: 19"), ("'19'", "ISO 3950")),
        ("case: x\n" + ZONE.replace("cervical", "neck"), ("tissue",)),
        ("case: x\n" + ZONE.replace("{sample: x}", "{body: x}"), ("a body",)),
        (
            "case: x\n" + ZONE.replace("]\n", ", {tooth: 11, zone: cervical, layers: [], after: {sample: y}}]\n"),
            ("second",),
        ),
    ],
)
def test_what_is_malformed_is_one_line(tmp_path: Path, text: str, words: tuple[str, ...]) -> None:
    with pytest.raises(FileError, match=r"outcome\.yaml") as caught:
        read(tmp_path, text)
    line = str(caught.value)
    assert "\n" not in line
    assert all(word in line for word in (*words, "found", "expected"))
