"""Empty book, handheld, ten minutes: eight readings typed, the gap seen, a bench sheet taken, the result recorded."""

import json
import os
import subprocess
import sys

import jsonschema

from stainbook.work.documents.schemas import COMMANDS
from tests.cli.console import ROOT, document, stainbook, write

TEETH = (13, 12, 11, 21, 22, 23)
EIGHT = (
    "70,6\t2,1\t17,8\n72,0\t1,4\t15,1\n70,4\t2,0\t17,0\n72,9\t0,9\t13,6\n71,8\t0,1\t9,9\n"
    "50\t20\t13\n52\t21\t13\n51\t20\t14\n"
)


def typed(text, *arguments, cwd, **environment):
    done = subprocess.run(
        [sys.executable, "-m", "stainbook", *map(str, arguments), "--json"],
        input=text, cwd=cwd, capture_output=True, encoding="utf-8", timeout=120, check=False,
        env=os.environ | {"PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8"} | environment,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def test_ten_minutes_with_an_empty_book(tmp_path):
    book = {"STAINBOOK_BOOK": f"sqlite:///{tmp_path / 'lab.db'}"}

    def run(*arguments):
        found = json.loads(stainbook(*arguments, "--json", cwd=tmp_path, **book).stdout)
        jsonschema.validate(found, COMMANDS[arguments[0]].model_json_schema())
        return found

    target = "{L: 72, a: 1.5, b: 17, illuminant: D65, observer: 2}"
    zones = [
        f"  - {{tooth: {tooth}, zone: {zone}, target: {target}}}"
        for tooth in TEETH
        for zone in ("cervical", "middle", "incisal")
    ]
    gum = "  - {tooth: 11, zone: attached, target: {L: 52, a: 21, b: 14, illuminant: D65, observer: 2}}"
    head = ("case: W-1", "material: zirconia", "stage: blasted", "readings: short")
    write(tmp_path / "case.yaml", *head, "effects: [{tooth: 11, effect: mottle}]", "zones:", *zones, gum)

    # the instrument once, the sheet that says what to read
    assert run("instrument", "hand", "--illuminant", "D65", "--observer", "2")["instruments"][0]["illuminant"] == "D65"
    sheet = run("sheet", "case.yaml", "--csv", "sheet.csv", "--html", "sheet.html")
    assert [row["sample"] for row in sheet["rows"]] == [
        "W-1-13-cervical", "W-1-13-middle", "W-1-11-cervical", "W-1-11-middle", "W-1-11-incisal",
        "W-1-11-attached", "W-1-11-attached", "W-1-11-attached",
    ]  # fmt: skip
    assert len(sheet["like"]) == 13

    # eight readings, typed
    found = typed(EIGHT, "read", "-", "--order", "sheet.csv", "--instrument", "hand", cwd=tmp_path, **book)
    assert (found["stored"], len(found["samples"])) == (6, 6)

    # the gap in value, chroma and hue, on a sheet to print
    bench = run("bench", "case.yaml", "--html", "bench.html")
    by_place = {(zone["tooth"], zone["zone"]): zone for zone in bench["zones"]}
    assert len(by_place) == 19
    neck = by_place[13, "cervical"]
    assert (neck["value"], neck["chroma"]) == ("1.4 too dark", "0.9 too strong")
    assert by_place[21, "incisal"]["like"] == "11 incisal"
    assert by_place[21, "incisal"]["gap"]["u"] > by_place[11, "incisal"]["gap"]["u"]
    assert by_place[22, "cervical"]["gap"]["u"] > by_place[21, "cervical"]["gap"]["u"]
    assert by_place[11, "attached"]["mottle"]["L"] > 0
    assert "no stain was calibrated" in bench["warnings"][-1]
    printed = (tmp_path / "bench.html").read_text(encoding="utf-8")
    assert "1.4 too dark" in printed
    assert "not a medical device" in printed

    # the result, recorded
    write(
        tmp_path / "outcome.yaml",
        "case: W-1", "operator: bench-1", "fired_at: 2026-03-02T10:40:00Z", "finish: glaze", "zones:",
        "  - tooth: 11", "    zone: cervical", "    layers: [{pot: {}, coats: 1}]",
        "    after: {L: 72.1, a: 1.6, b: 16.8, illuminant: D65, observer: 2}",
    )  # fmt: skip
    recorded = json.loads(stainbook("record", "outcome.yaml", "--json", cwd=tmp_path, **book).stdout)
    assert recorded["outcomes"][0]["got"]["L"] == 72.1


def test_numbers_of_an_unknown_light_stay_on_their_own_scale(tmp_path):
    """Two readings of one instrument compare; the sheet says on which scale, and proposes nothing."""
    book = {"STAINBOOK_BOOK": f"sqlite:///{tmp_path / 'lab.db'}"}
    write(
        tmp_path / "case.yaml", "case: W-2", "stage: blasted", "zones:",
        "  - {tooth: 11, zone: middle, target: {file: r.csv, sample: wanted}}",
    )  # fmt: skip
    write(tmp_path / "r.csv", "sample,L,a,b,instrument", "wanted,72,1,15,hand")
    stainbook("instrument", "hand", "--aperture", "3", cwd=tmp_path, **book)
    found = typed("W-2-11-middle 70 1 15", "read", "-", "--instrument", "hand", cwd=tmp_path, **book)
    assert any("own scale" in line for line in found["warnings"])
    bench = json.loads(stainbook("bench", "case.yaml", "--json", cwd=tmp_path, **book).stdout)
    (zone,) = bench["zones"]
    assert (zone["value"], zone["scale"]) == ("2.0 too dark", "on this instrument's own scale")
    assert (zone["step"], zone["now"]["observer"]) == (None, None)
    assert document("convert", "r.csv", cwd=tmp_path)["readings"][0]["illuminant"] == "unknown"
