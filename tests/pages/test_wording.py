"""What the bench is told: odds, mixes, directions."""

from stainbook.pages.shell import wording
from stainbook.work.case.views import reason
from stainbook.work.documents.schemas import ColourResult, Gap, Move, PaintedLayer

TOOTH = ColourResult(L=72.0, a=2.0, b=18.0, illuminant="D65", observer=10)
GUM = ColourResult(L=50.0, a=22.0, b=12.0, illuminant="D65", observer=10)


def test_mix_in_parts_that_do_not_break():
    said = wording.mix({"husk": 0.125})
    assert said.replace("\u00a0", " ") == "1 part husk + 7 parts clear"
    assert "1\u00a0part\u00a0husk" in said
    assert wording.mix({}) == "clear glaze alone"


def test_layers_are_dried_in_between():
    first, second = wording.layers(
        [PaintedLayer(pot={"husk": 1.0}, coats=2), PaintedLayer(pot={"teasel": 0.5}, coats=1)]
    )
    assert first == "2\u00a0coats of husk undiluted"
    assert second == "when dry: 1\u00a0coat of (1\u00a0part\u00a0teasel + 1\u00a0part\u00a0clear)"


def gap(**parts):
    return Gap(**{"dE00": 3.0, "dL": 0.0, "dC": 0.0, "dH": 0.0, "grade": "beyond", **parts})


def test_a_gap_is_words_alone():
    assert wording.value(gap(dL=-3.2)) == "3.2 too dark"
    assert wording.chroma(gap(dC=0.3)) == "on target"
    assert wording.hue(gap(dH=1.0), TOOTH) == "1.0 too green"
    assert wording.hue(gap(dH=1.0), GUM) == "1.0 too yellow"


def test_reason_does_not_say_the_mixes_again():
    move = Move(
        rank=1, kind="add", layers=[PaintedLayer(pot={"husk": 0.25}, coats=1)], colour=TOOTH, dE00=0.8, dE00_p05=0.3,
        dE00_p95=1.6, accept=0.9, accept_within=1.0, firings=1.0,
        why="1 coat of (1 part husk + 3 parts clear) takes value down; ends on the target",
    )  # fmt: skip
    assert reason(move) == "takes value down; ends on the target"
    assert reason(move.model_copy(update={"why": "other words"})) == "other words"


def test_light_and_observer():
    assert wording.viewing(TOOTH) == "daylight (CIE D65), 10°"
    assert wording.viewing(TOOTH.model_copy(update={"observer": None})) == "the instrument's own scale"
    assert wording.viewing(None) == "not stated"
