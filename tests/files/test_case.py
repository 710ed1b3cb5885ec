import pytest

from stainbook.files import read_case, read_cases
from stainbook.files.case_writer import format_case
from stainbook.records import (
    DEFAULT_SHARES,
    UNKNOWN_VIEWING,
    BodyRef,
    CaseZone,
    Effect,
    GuideTab,
    LabRef,
    Limits,
    Pot,
    SampleRef,
    TabRef,
    Target,
    Viewing,
)
from tests.files.helpers import refused, saved

GUIDE = tuple(GuideTab("house", "oat-mid", zone, "tooth") for zone in ("cervical", "middle", "incisal"))
GUM = (GuideTab("house", "gum-b", "papilla", "gingiva"), GuideTab("house", "gum-b", "attached", "gingiva"))
OAT = Target(TabRef("house", "oat-mid"))


def case(tmp_path, text, **options):
    return read_case(saved(tmp_path, text, "case.yaml"), **options).records[0]


def zone(tmp_path, text, **options):
    found = case(tmp_path, f"case: c\nzones:\n  - {{tooth: 11, zone: cervical, {text}}}", **options)
    return found.zones[0]


def refuse(tmp_path, text, *parts):
    refused(read_case, saved(tmp_path, text, "case.yaml"), *parts)


def test_the_least_that_a_case_is(tmp_path):
    found = case(tmp_path, "case: 0117\nzones: [{tooth: 11, zone: Cervical}]")
    assert (found.case, found.stage, found.material, found.finish) == ("0117", None, None, "glaze")
    assert found.zones == (CaseZone(11, "cervical", "tooth"),)
    assert found.limits == Limits(2, 1, 2, None, DEFAULT_SHARES, None)
    assert found.folder == tmp_path


@pytest.mark.parametrize("name", ["case", "operator", "programme", "material"])
@pytest.mark.parametrize("text", ["0117", "24_117", "no", "12:30", "2026-03-02", "1e3"])
def test_text_keys_are_text_as_written(tmp_path, name, text):
    keys = {"case": "c", name: text}
    found = case(
        tmp_path, "".join(f"{key}: {value}\n" for key, value in keys.items()) + "zones: [{tooth: 11, zone: middle}]"
    )
    assert getattr(found, name) == text


def test_text_keys_of_zones_are_text_as_written(tmp_path):
    found = zone(tmp_path, "now: {sample: 0117, stage: 12:30}, target: {guide: no, tab: 24_117}")
    assert found.now == SampleRef("0117", None, "12:30")
    assert found.target == Target(TabRef("no", "24_117"))


# ---------------------------------------------------------------- colours


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("{L: 70.5, a: 1, b: -2}", LabRef((70.5, 1.0, -2.0), UNKNOWN_VIEWING)),
        ("{L: 70, a: 1, b: 2, illuminant: d65, observer: 10}", LabRef((70.0, 1.0, 2.0), Viewing("D65", 10))),
        ("{L: 70, a: 1, b: 2, illuminant: D65, observer: }", LabRef((70.0, 1.0, 2.0), Viewing("D65", 0))),
        ("{sample: s}", SampleRef("s")),
        ("{sample: s, stage: Blasted}", SampleRef("s", None, "blasted")),
        ("{body: blank-3}", BodyRef("blank-3")),
        ("", None),
    ],
)
def test_where_a_zone_is(tmp_path, text, expected):
    assert zone(tmp_path, f"now: {text}").now == expected


def test_files_are_relative_to_the_case(tmp_path):
    assert zone(tmp_path, "now: {file: ../r.csv, sample: s}").now == SampleRef("s", tmp_path / ".." / "r.csv")


def test_lab_without_light_takes_the_caller_s(tmp_path):
    found = zone(
        tmp_path, "now: {L: 70, a: 1, b: 2}, target: {L: 70, a: 1, b: 2, observer: 2}", viewing=Viewing("D50", 10)
    )
    assert found.now.viewing == Viewing("D50", 10)
    assert found.target.colour.viewing == Viewing("D50", 2)


@pytest.mark.parametrize(
    ("text", "colour"),
    [
        ("{guide: house, tab: oat-mid, shift: {L: 1, C: -2, h: 5, a: 0.5, b: 0}}", TabRef("house", "oat-mid")),
        ("{sample: s, shift: {L: 1, C: -2, h: 5, a: 0.5, b: 0}}", SampleRef("s")),
        ("{L: 70, a: 1, b: 2, shift: {L: 1, C: -2, h: 5, a: 0.5, b: 0}}", LabRef((70.0, 1.0, 2.0), UNKNOWN_VIEWING)),
    ],
)
def test_where_a_zone_must_go(tmp_path, text, colour):
    target = zone(tmp_path, f"target: {text}").target
    assert target.colour == colour
    assert dict(target.shift) == {"L": 1.0, "C": -2.0, "h": 5.0, "a": 0.5, "b": 0.0}


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("now: s", ["key zones.now", "a mapping"]),
        ("now: {}", ["key zones.now", "no colour", "{sample}", "{L, a, b}", "{body}"]),
        ("now: {L: 70, a: 1}", ["key zones.now", "no b"]),
        ("now: {sample: s, L: 70, a: 1, b: 2}", ["key zones.now", "sample, L, a, b", "{sample}"]),
        ("now: {file: r.csv}", ["key zones.now", "no sample"]),
        ("now: {L: 170, a: 1, b: 2}", ["key zones.now.L", "'170'"]),
        ("now: {L: 70, a: x, b: 2}", ["key zones.now.a", "'x'"]),
        ("now: {L: 70, a: 1, b: 2, observer: 5}", ["key zones.now.observer", "'5'", "2 or 10"]),
        ("now: {guide: house, tab: t}", ["key zones.now.guide", "'guide'"]),
        ("target: {body: x}", ["key zones.target.body", "'body'"]),
        ("target: {guide: house}", ["key zones.target", "no tab"]),
        ("target: {shift: {L: 1}}", ["key zones.target", "shift"]),
        ("target: {sample: s, shift: {H: 1}}", ["key zones.target.shift.H", "L, a, b, C, h"]),
        ("target: {sample: s, shift: {L: lots}}", ["key zones.target.shift.L", "'lots'"]),
        ("target: {sampel: s}", ["row 3", "did you mean sample?"]),
    ],
)
def test_malformed_colours_are_refused(tmp_path, text, parts):
    refuse(tmp_path, f"case: c\nzones:\n  - {{tooth: 11, zone: cervical, {text}}}", *parts)


def test_a_green_piece_takes_the_colour_of_its_blank(tmp_path):
    text = "case: c\nstage: Green\nzones:\n  - {{tooth: 11, zone: middle, now: {}}}"
    assert case(tmp_path, text.format("{body: b}")).zones[0].now == BodyRef("b")
    refuse(tmp_path, text.format("{sample: s}"), "row 4", "key zones.now", "green", "{body: name}")


# ---------------------------------------------------------------- zones


@pytest.mark.parametrize("tooth", [11, 18, 48, 55, 85])
def test_teeth_of_iso_3950(tmp_path, tooth):
    assert case(tmp_path, f"case: c\nzones: [{{tooth: {tooth}, zone: margin}}]").zones[0].key == (tooth, "margin")


@pytest.mark.parametrize("tooth", ["10", "19", "51.0", "56", "86", "90", "1", "011", "8", "UL1", "-11", "١١"])
def test_other_teeth_are_refused(tmp_path, tooth):
    refuse(tmp_path, f"case: c\nzones: [{{tooth: {tooth}, zone: margin}}]", "row 2", "key zones.tooth", "ISO 3950")


def test_a_zone_of_one_s_own_names_its_tissue(tmp_path):
    found = case(tmp_path, "case: c\nzones: [{tooth: 11, zone: Root, tissue: tooth}, {tooth: 11, zone: mucosa}]")
    assert [(z.zone, z.tissue) for z in found.zones] == [("Root", "tooth"), ("mucosa", "gingiva")]
    refuse(tmp_path, "case: c\nzones: [{tooth: 11, zone: root}]", "row 2", "'root'", "tooth or gingiva")
    refuse(tmp_path, "case: c\nzones: [{tooth: 11, zone: cervcal}]", "row 2", "did you mean cervical?")
    refuse(tmp_path, "case: c\nzones: [{tooth: 11, zone: margin, tissue: tooth}]", "key zones.tissue", "gingiva")
    refuse(tmp_path, "case: c\nzones: [{tooth: 11, zone: x, tissue: bone}]", "key zones.tissue", "'bone'")


def test_a_zone_stands_there_once(tmp_path):
    refuse(
        tmp_path, "case: c\nzones:\n - {tooth: 11, zone: middle}\n - {tooth: 11, zone: Middle}", "row 4", "11 middle"
    )
    refuse(
        tmp_path, "case: c\nzones:\n - {tooth: 11, zone: papilla}\n - {tooth: 21, zone: papilla}", "row 4", "papilla"
    )


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("- case: c", ["a mapping"]),
        ("zones: [{tooth: 11, zone: middle}]", ["no case"]),
        ("case: c", ["no zones"]),
        ("case: c\nzones: []", ["key zones", "no zone"]),
        ("case: c\nzones: {tooth: 11}", ["key zones", "a list"]),
        ("case: c\nzones: [{tooth: 11}]", ["row 2", "no zone"]),
        ("case: c\nzones: [{zone: middle}]", ["row 2", "no tooth"]),
        (
            "case: c\nzones: [{tooth: 11, zone: middle}]\nfinnish: polish",
            ["row 3", "'finnish'", "did you mean finish?"],
        ),
        ("case: c\nzones: [{tooth: 11, zone: middle}]\nfinish: wax", ["row 3", "key finish", "glaze, polish"]),
        ("case: c\nzones: [{tooth: 11, zone: middle}]\nstage: fired", ["row 3", "key stage", "'fired'", "blasted"]),
        ("case: c\nzones: [{tooth: 11, zone: middle, fired: often}]", ["key zones.fired", "whole number"]),
    ],
)
def test_malformed_cases_are_refused(tmp_path, text, parts):
    refuse(tmp_path, text, *parts)


# ---------------------------------------------------------------- like and apply


def test_like_names_the_zone_that_is_read(tmp_path):
    text = (
        "case: c\nzones:\n - {tooth: 22, zone: middle, like: {tooth: 21, zone: middle}}\n"
        " - {tooth: 21, zone: middle, like: {tooth: 11, zone: Middle}}\n - {tooth: 11, zone: middle, now: {sample: s}}"
    )
    assert [z.like for z in case(tmp_path, text).zones] == [(11, "middle"), (11, "middle"), None]


@pytest.mark.parametrize(
    ("first", "second", "parts"),
    [
        ("like: {tooth: 13, zone: middle}", "now: {sample: s}", ["row 3", "key zones.like", "13 middle"]),
        ("like: {tooth: 11, zone: middle}", "now: {sample: s}", ["row 3", "like each other"]),
        ("like: {tooth: 12, zone: middle}", "like: {tooth: 11, zone: middle}", ["row 3", "like each other"]),
        ("like: {tooth: 12, zone: middle}, now: {sample: s}", "now: {sample: s}", ["row 3", "now and like"]),
        ("like: {tooth: 12}", "now: {sample: s}", ["row 3", "key zones.like", "no zone"]),
        ("like: 12", "now: {sample: s}", ["row 3", "key zones.like", "a mapping"]),
    ],
)
def test_like_that_leads_nowhere_is_refused(tmp_path, first, second, parts):
    text = f"case: c\nzones:\n - {{tooth: 11, zone: middle, {first}}}\n - {{tooth: 12, zone: middle, {second}}}\n"
    refuse(tmp_path, text, *parts)


APPLIED = (
    "case: c\nzones:\n - {tooth: 11, zone: cervical, target: {sample: s}}\n - {tooth: 11, zone: middle}\n"
    " - {tooth: 11, zone: attached}\n - {tooth: 21, zone: middle}\n"
    "apply: {teeth: [11, 12], guide: house, tab: oat-mid, shift: {L: 1}}\n"
)


def test_a_tab_is_applied_to_zones_without_target_and_brings_its_zones_to_teeth_without(tmp_path):
    zones = {z.key: z for z in case(tmp_path, APPLIED, guide=GUIDE).zones}
    shifted = Target(OAT.colour, (("L", 1.0),))
    assert zones[11, "cervical"].target == Target(SampleRef("s"))
    assert zones[11, "middle"].target == shifted
    assert zones[11, "attached"].target is None  # the tab has no gum
    assert zones[21, "middle"].target is None
    assert [z for key, z in zones.items() if key[0] == 12] == [
        CaseZone(12, zone, "tooth", target=shifted) for zone in ("cervical", "middle", "incisal")
    ]
    assert len(zones) == 7


def test_without_a_guide_no_zone_is_added_and_a_warning_says_so(tmp_path):
    loaded = read_case(saved(tmp_path, APPLIED))
    assert len(loaded.records[0].zones) == 4
    assert len(loaded.warnings) == 1
    assert "'house'" in loaded.warnings[0]
    assert "12" in loaded.warnings[0]


def test_a_list_of_tabs_and_no_zones_of_one_s_own(tmp_path):
    text = (
        "case: c\nzones: []\napply:\n - {teeth: [11, 21], guide: house, tab: gum-b}\n"
        " - {teeth: [12], guide: house, tab: oat-mid}\n"
    )
    keys = [z.key for z in case(tmp_path, text, guide=GUIDE + GUM).zones]
    assert keys == [
        (11, "papilla"), (11, "attached"), (21, "attached"),  # one papilla between the front teeth
        (12, "cervical"), (12, "middle"), (12, "incisal"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("{teeth: [12], guide: house, tab: oat-deep}", ["key apply", "house/oat-deep", "house/oat-mid"]),
        ("{teeth: [12, 12], guide: house, tab: oat-mid}", ["key apply", "12 twice"]),
        ("{teeth: [19], guide: house, tab: oat-mid}", ["key apply.teeth", "ISO 3950"]),
        ("{teeth: 12, guide: house, tab: oat-mid}", ["key apply.teeth", "a list"]),
        ("{teeth: [12], tab: oat-mid}", ["key apply", "no guide"]),
        ("{teeth: [12], guide: house, tab: oat-mid, zone: x}", ["key apply.zone", "'zone'"]),
    ],
)
def test_malformed_apply_is_refused(tmp_path, text, parts):
    path = saved(tmp_path, f"case: c\nzones: [{{tooth: 11, zone: middle}}]\napply: {text}")
    refused(lambda p: read_case(p, guide=GUIDE), path, "row 3", *parts)


# ---------------------------------------------------------------- effects, lots, limits


def with_zone(text):
    return f"case: c\nzones: [{{tooth: 11, zone: middle}}]\n{text}"


def test_effects_are_listed(tmp_path):
    text = (
        "effects:\n - {tooth: 11, effect: Halo, place: edge, pot: {flour: 1/4}, note: n}\n - {tooth: 12, effect: swirl}"
    )
    assert case(tmp_path, with_zone(text)).effects == (
        Effect(11, "halo", "edge", Pot.of({"flour": 0.25}), "n"),
        Effect(12, "swirl"),
    )


@pytest.mark.parametrize(
    ("pot", "shares"),
    [("{}", {}), ("{husk: 1/4, clear: 3/4}", {"husk": 0.25}), ("{clear: 1}", {}), ("{0117: 1, }", {"0117": 1.0})],
)
def test_pots(tmp_path, pot, shares):
    effect = case(tmp_path, with_zone(f"effects: [{{tooth: 11, effect: halo, pot: {pot}}}]")).effects[0]
    assert effect.pot.as_dict() == shares


@pytest.mark.parametrize(
    ("pot", "part"),
    [
        ("{husk: 0}", "above 0"),
        ("{husk: 3/4, teasel: 1/2}", "1.25"),
        ("{husk: 0.5, clear: 0.6}", "1.1"),
        ("husk", "a mapping"),
    ],
)
def test_malformed_pots_are_refused(tmp_path, pot, part):
    refuse(tmp_path, with_zone(f"effects: [{{tooth: 11, effect: halo, pot: {pot}}}]"), "row 3", "key effects.pot", part)


def test_how_far_liquids_may_go(tmp_path):
    found = case(tmp_path, with_zone("limits: {liquid_way: 7/10}"))
    assert found.limits.liquid_way == 0.7
    assert found.limits.after_sintering.liquid_way is None
    assert "liquid_way: 0.7" in format_case(found)


def test_lots_and_limits(tmp_path):
    text = (
        "lots: {husk: 24-117, bark: 0117}\n"
        "limits: {firings_left: 0, layers: 3, coats: 3, pots: 4, strengths: [1, 1/16, 0.25, 1/4], stains: [teasel, no]}"
    )
    found = case(tmp_path, with_zone(text))
    assert found.lots == (("bark", "0117"), ("husk", "24-117"))
    assert found.limits == Limits(0, 3, 3, 4, (0.0625, 0.25, 1.0), ("teasel", "no"))


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("{firings_left: -1}", ["key limits.firings_left", "from 0"]),
        ("{layers: 0}", ["key limits.layers", "from 1"]),
        ("{coats: 1.5}", ["key limits.coats", "whole number"]),
        ("{pots: none}", ["key limits.pots"]),
        ("{coats: 1000000}", ["key limits.coats"]),
        ("{strengths: []}", ["key limits.strengths", "0 strengths"]),
        ("{strengths: [2]}", ["key limits.strengths", "at most 1"]),
        ("{liquid_way: 1.2}", ["key limits.liquid_way", "1.2", "at most 1"]),
        ("{liquid_way: 0}", ["key limits.liquid_way", "at most 1"]),
        ("{liquid_way: 70 %}", ["key limits.liquid_way", "at most 1"]),
        ("{liquid_way: far}", ["key limits.liquid_way", "far"]),
        ("{strenghts: [1]}", ["did you mean strengths?"]),
    ],
)
def test_malformed_limits_are_refused(tmp_path, text, parts):
    refuse(tmp_path, with_zone(f"limits: {text}"), "row 3", *parts)


# ---------------------------------------------------------------- several


def test_several_cases_are_read_at_once_and_each_is_another(tmp_path):
    paths = [saved(tmp_path, with_zone("").replace("case: c", f"case: {name}"), f"{name}.yaml") for name in "ab"]
    assert [found.case for found in read_cases(paths).records] == ["a", "b"]
    refused(lambda path: read_cases([path, path]), paths[0], "'a'", "each case once")
