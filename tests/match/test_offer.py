"""What may go on a piece."""

from __future__ import annotations

import pytest

from stainbook.match import firings_of, kept_apart, no_firing_reason, offered
from stainbook.records import STAGES, Stain
from stainbook.words.sentences import note

JARS = (
    Stain("husk", "surface", "brown", ("zirconia", "lithium disilicate"), ("blasted", "sintered", "stained"), None, 4),
    Stain("teasel", "surface", "yellow"),
    Stain("bracken", "infiltrating", "orange", ("zirconia",), ("green",)),
    Stain("rook", "infiltrating", "grey"),
    Stain("wax", "resin", "pink"),
    Stain("clear", "clear"),
)


def names(**case):
    return [one.name for one in offered(JARS, **case)]


@pytest.mark.parametrize(
    ("material", "stage", "expected"),
    [
        ("zirconia", "green", ["bracken", "rook"]),
        ("lithium disilicate", "green", ["rook"]),
        ("zirconia", "blasted", ["husk", "teasel"]),
        ("zirconia", "glazed", ["teasel"]),  # the jar of husk does not name this stage
        ("zirconia", "returned", ["husk", "teasel"]),  # once cleaned it is a fired piece
        ("feldspathic", "stained", ["teasel"]),
        ("zirconia", "bonded", []),
        ("zirconia", "trial", []),  # resin is never fired
        (None, None, ["husk", "teasel"]),
    ],
)
def test_material_and_stage_decide(material, stage, expected):
    assert names(material=material, stage=stage) == expected


@pytest.mark.parametrize("stage", STAGES)
def test_resin_and_clear_are_never_offered_as_stains(stage):
    assert not {"wax", "clear"} & set(names(material="zirconia", stage=stage))


def test_a_case_may_limit_itself():
    assert names(material="zirconia", stage="blasted", only=["teasel", "bracken"]) == ["teasel"]


def test_makers_count_the_firings_that_were():
    assert firings_of(JARS, fired=1) == {"husk": 3}
    assert firings_of(JARS, fired=9) == {"husk": 0}


@pytest.mark.parametrize(
    ("stage", "left", "reason"),
    [
        ("trial", 2, "provisional"),
        ("bonded", 2, "bonded"),
        ("delivered", 2, "delivered"),
        ("blasted", 0, "no firing remains"),
    ],
)
def test_no_firing_says_why(stage, left, reason):
    told = no_firing_reason(stage, left)
    assert told is not None
    assert reason in note(told)


@pytest.mark.parametrize("stage", ["green", "blasted", "returned", None])
def test_other_stages_may_be_fired(stage):
    assert no_firing_reason(stage, 1) is None


def test_jars_of_two_systems_or_forms_are_kept_apart_unless_the_lab_mixes_them():
    jars = (
        Stain("husk", system="field", form="paste"),
        Stain("teasel", system="field", form="powder"),
        Stain("moss", system="shore", form="paste"),
        Stain("slate"),  # of which nothing is stated
    )
    by_form, by_system, by_both = ({"husk", "teasel"}, {"husk", "moss"}, {"teasel", "moss"})
    assert set(kept_apart(jars)) == set(map(frozenset, (by_form, by_system, by_both)))
    assert set(kept_apart(jars, [("powder", "paste")])) == set(map(frozenset, (by_system, by_both)))
    assert kept_apart(jars, [("paste", "powder"), ("field", "shore")]) == frozenset()
