"""The plan at the bench: passes bottom first, along the arch, teeth before gum; as text that nothing can break."""

from __future__ import annotations

import re

import numpy as np

from stainbook.words.sentences import no_liquid
from stainbook.work.documents.document_parts import ColourResult
from stainbook.work.documents.plan_schemas import (
    HoldingBack,
    PaintedLayer,
    Palette,
    PlannedLayer,
    PlannedPot,
    PlannedZone,
    PlanResult,
    Then,
    Weighed,
)
from stainbook.work.sheets.plan_sheet import (
    chances,
    drawings_of,
    expected,
    heading,
    not_painted,
    passes,
    sheet_content,
    sheet_html,
    stroke_rows,
)

GREY = ColourResult(L=70.0, a=1.0, b=15.0, illuminant="D65", observer=10)


def zone(tooth: int, name: str, *pots: str, verdict: str = "stain", why: str = "because") -> PlannedZone:
    tissue = "gingiva" if name in ("margin", "papilla", "attached") else "tooth"
    layers = [PlannedLayer(pot=pot, coats=1 + i) for i, pot in enumerate(pots)]
    return PlannedZone(
        tooth=tooth, zone=name, tissue=tissue, layers=layers, verdict=verdict, colour=GREY, dE00=0.8, dE00_p05=0.2,
        dE00_p95=1.5, accept=0.9, accept_within=0.95, why=why,
    )  # fmt: skip


def plan(*zones: PlannedZone, **changes: object) -> PlanResult:
    few = Palette(mixes=2, accept=0.71, accept_within=0.9)
    fields = {
        "case": "W-1042", "accept": 0.7, "zones": list(zones), "within_reach": few,
        "pots": [PlannedPot(id="Y", pot={"husk": 0.25}, zones=3), PlannedPot(id="J", pot={"teasel": 0.5}, zones=1)],
        "unlimited": Palette(mixes=9, accept=0.98, accept_within=0.99), "effects": ["11: halo"],
    }  # fmt: skip
    return PlanResult.model_validate(fields | changes)


ZONES = (
    zone(21, "incisal", "Y"), zone(11, "margin", "Y"), zone(12, "middle", "Y", "J"), zone(12, "cervical", "J"),
    zone(31, "middle", "J"), zone(11, "incisal", verdict="leave"), zone(22, "cervical", verdict="out of reach"),
)  # fmt: skip


def test_passes_go_along_the_arch_teeth_before_gum_upper_before_lower():
    first, second = passes(plan(*ZONES))
    places = [(one.zone.tooth, one.zone.zone) for one in first]
    assert places == [(12, "cervical"), (12, "middle"), (21, "incisal"), (11, "margin"), (31, "middle")]
    assert [(one.zone.tooth, one.layer.pot) for one in second] == [(12, "J")]


def test_the_outcome_stands_at_the_last_layer():
    first, second = (stroke_rows(one) for one in passes(plan(*ZONES)))
    assert first[1] == ("12", "middle", "mix Y, 1 coat", "more follows")
    assert second == [("12", "middle", "mix J, 2 coats", "ΔE00 0.8, about 9 in 10")]


def test_dry_between_passes_and_fire_after_the_last():
    assert heading(plan(*ZONES), 0, 2) == "First layers, then dry the whole piece before next"
    for number, count in ((1, 2), (0, 1)):
        assert heading(plan(*ZONES), number, count).endswith("then dry the piece and fire it")
    assert heading(plan(stage="green"), 0, 1).endswith("then dry fully and sinter by the maker's sheet")


def test_what_is_left_and_what_no_stain_reaches_is_said():
    assert list(not_painted(plan(*ZONES))) == ["Nothing to paint: 11 incisal.", "Stain cannot reach: 22 cervical."]


def test_what_is_painted_and_comes_no_nearer_is_told_apart_from_what_is_left():
    both = plan(zone(11, "attached", "P", verdict="out of reach"), zone(12, "attached", verdict="out of reach"))
    assert list(not_painted(both)) == [
        "Stain cannot reach: 12 attached gum.",
        "Out of tolerance all the same, stain comes no nearer: 11 attached gum.",
    ]


def test_gum_that_no_liquid_brings_there_says_so_and_what_may_follow():
    gum = [zone(tooth, "attached", verdict="out of reach", why=no_liquid(0.7)) for tooth in (11, 12)]
    assert list(not_painted(plan(*gum, stage="green"))) == [
        "No liquid brings gum there: do not stain it now; surface stain on the sintered piece has about 7 in 10: "
        "12 attached gum, 11 attached gum."
    ]
    assert no_liquid(None).endswith("no surface stain may follow")


def test_chances_name_whom_they_hold_for():
    assert chances(plan(*ZONES)).startswith("2 mixes: all zones that stain can bring there")
    assert chances(plan(*ZONES[:3])).startswith("2 mixes: all zones in tolerance after this firing about 7 in 10")
    assert chances(plan(within_reach=None, unlimited=None)) == "No firing is proposed."


def test_a_pass_is_told_mix_by_mix_teeth_first_with_a_dot_a_coat():
    content = sheet_content(plan(*ZONES, expected_in_tolerance=4.4, zones_counted=7))
    first = next(table for table in content.tables if table.heading.startswith("First"))
    assert [row[:2] for row in first.rows] == [
        ("J", "cervical • 12; middle • 31"), ("Y", "middle • 12; incisal • 21"), ("Y", "gum edge • 11"),
    ]  # fmt: skip
    assert len(content.drawings) == 2
    assert all("Y•" in one or "J••" in one for one in content.drawings)
    assert "4 of 7 zones expected in tolerance." in content.lead


def test_a_pass_is_drawn_in_a_row_with_letters_apart_and_z_crossed():
    teeth = [zone(16, name, "J", "Y") for name in ("cervical", "middle", "occlusal")]
    arch = [zone(tooth, "middle", "Y") for tooth in (15, 14, 13, 12, 11)]
    first, second = drawings_of(plan(*teeth, *arch, zone(16, "papilla", "Z")))
    assert heights(first) == sorted(heights(first))
    assert min(np.diff(heights(first))) > 2.2  # mm of the piece, where letters are some 2.2 high
    assert ">Ƶ•<" in first
    assert first.count("<polygon") > second.count("<polygon")  # gum where this pass paints any


def heights(drawing: str) -> list[float]:
    """Where the marks of the molar stand, from the neck down."""
    found = re.findall(r'<text x="([-.\d]+)" y="([-.\d]+)"[^>]*>J•<', drawing)
    return [float(y) for _, y in found]


def test_an_unsintered_piece_is_dried_and_sintered_teeth_before_gum():
    content = sheet_content(plan(*ZONES, stage="green"))
    assert any("teeth first, gum last" in one for one in content.notes)
    assert not any("Firing programme" in one for one in content.notes)
    assert any("sinter by the maker's sheet" in table.heading for table in content.tables)


def test_what_one_more_mix_brings_and_what_holds_back_is_said():
    more = Palette(mixes=3, accept=0.8, accept_within=0.9, expected=6.2)
    held = [HoldingBack(tooth=22, zone="cervical", accept=0.1, helps="another blank")]
    said = expected(plan(*ZONES, expected_in_tolerance=4.4, zones_counted=7, one_more=more, holding_back=held))
    assert said.startswith("4 of 7 zones expected in tolerance; one more mix brings 2.")
    assert "22 cervical (another blank)" in said
    assert expected(plan(*ZONES)) == ""


def test_the_page_has_all_of_it_and_loads_nothing():
    page = sheet_html(plan(*ZONES))
    mixed = ("1 part husk + 3 parts clear", "First layers", "Second layers")
    assert all(said in page for said in (*mixed, "11: halo", "Nothing to paint: 11 incisal", "medical device"))
    assert ">weigh<" not in page
    assert "http" not in page.replace("http-equiv", "")
    assert "default-src 'none'" in page


def test_weights_stand_beside_the_parts():
    pot = PlannedPot(id="Y", pot={"husk": 0.25}, zones=1, weighed=Weighed(grams={"husk": 0.5, "clear": 1.5}, off=0.01))
    assert "0.5 g husk + 1.5 g clear" in sheet_html(plan(ZONES[0], pots=[pot]))


def test_names_from_files_are_text():
    page = sheet_html(plan(*ZONES, case="<script>x</script>", effects=["<img src=x>"]))
    assert "<script" not in page
    assert "<img" not in page


def test_what_follows_on_liquids_is_said():
    then = Then(layers=[PaintedLayer(pot={"husk": 0.125}, coats=1)], dE00=0.9, accept=0.8)
    green = zone(12, "middle", "Y").model_copy(update={"then": then})
    ((row,),) = (stroke_rows(one) for one in passes(plan(green, stage="green")))
    whole = plan(green, stage="green", expected_in_tolerance=0.9, zones_counted=1)
    assert "sintered without surface stain" in chances(whole)
    assert "1 of 1 zone expected in tolerance once surface stain has followed." in expected(whole)
    assert row[-1].endswith("then 1 coat of (1 part husk + 7 parts clear)")
