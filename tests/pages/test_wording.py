"""What the bench is told: odds, mixes, directions."""

import pytest

from stainbook.pages.shell import wording
from stainbook.words.chances import chance as chance_words
from stainbook.work.case.views import reason
from stainbook.work.documents.schemas import ColourResult, Gap, Move, PaintedLayer

TOOTH = ColourResult(L=72.0, a=2.0, b=18.0, illuminant="D65", observer=10)
GUM = ColourResult(L=50.0, a=22.0, b=12.0, illuminant="D65", observer=10)


@pytest.mark.parametrize(
    ("chance", "said"),
    [
        (0.0, "less than 1 in 20"),
        (0.06, "about 1 in 10"),
        (0.71, "about 7 in 10"),
        (0.79, "about 8 in 10"),
        (0.95, "about 9 in 10"),
        (1.0, "more than 19 in 20"),
    ],
)
def test_odds(chance, said):
    assert chance_words(chance) == said


@pytest.mark.parametrize(("value", "said"), [(7.31, "7.3"), (-0.04, "0.0"), (-1.25, "−1.2"), (0.05, "0.1")])
def test_one_decimal(value, said):
    assert wording.one_decimal(value) == said


def test_mix_in_parts_that_do_not_break():
    said = wording.mix({"husk": 0.125})
    assert said.replace("\u00a0", " ") == "1 part husk + 7 parts clear"
    assert "1\u00a0part\u00a0husk" in said
    assert wording.mix({}) == "clear glaze alone"


def test_layers_are_dried_in_between():
    first, second = wording.layers(
        [PaintedLayer(pot={"husk": 1.0}, coats=2), PaintedLayer(pot={"teasel": 0.5}, coats=1)]
    )
    assert first == "husk undiluted, 2\u00a0coats"
    assert second.startswith("when dry: ")
    assert second.endswith("1\u00a0coat")


def gap(**parts):
    return Gap(**{"dE00": 3.0, "dL": 0.0, "dC": 0.0, "dH": 0.0, "grade": "beyond", **parts})


def test_value_and_chroma():
    assert wording.value(gap(dL=3.2)) == "▲ 3.2 too light"
    assert wording.value(gap(dL=-3.2)) == "▼ 3.2 too dark"
    assert wording.chroma(gap(dC=-1.0)) == "▼ 1.0 too weak"
    assert wording.chroma(gap(dC=0.3)) == "right (0.3)"


def test_hue_is_told_by_the_colour_it_turns_to():
    """A tooth (h about 84°) turns to green or red, gum (h about 29°) to yellow or away from it."""
    assert wording.hue(gap(dH=1.0), TOOTH) == "↺ 1.0 too green"
    assert wording.hue(gap(dH=-1.0), TOOTH) == "↻ 1.0 too red"
    assert wording.hue(gap(dH=1.0), GUM) == "↺ 1.0 too yellow"
    assert wording.hue(gap(dH=0.2), GUM) == "right (0.2)"


def test_reason_does_not_say_the_mixes_again():
    move = Move(
        rank=1, kind="add", layers=[PaintedLayer(pot={"husk": 0.25}, coats=1)], colour=TOOTH, dE00=0.8, dE00_p05=0.3,
        dE00_p95=1.6, accept=0.9, accept_within=1.0, firings=1.0,
        why="one coat of 1 part husk + 3 parts clear takes value down; ends on the target",
    )  # fmt: skip
    assert reason(move) == "takes value down; ends on the target"
    assert reason(move.model_copy(update={"why": "other words"})) == "other words"


def test_light_and_observer():
    assert wording.viewing(TOOTH) == "D65, 10°"
    assert wording.viewing(TOOTH.model_copy(update={"observer": None})) == "the instrument's own scale"
    assert wording.viewing(None) == "not stated"
