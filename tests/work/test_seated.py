"""A zone that says its ceramic, its thickness and what lies behind it is told as seated; what is missing is told."""

from dataclasses import replace

import numpy as np
import pytest

from stainbook.colour import delta_e_2000
from stainbook.errors import FileError, UnknownNameError
from stainbook.records import Viewing
from stainbook.work.case.advise import AdviceAsked, advise_files
from stainbook.work.stains.stain_calibration import ChipFiles, calibrate_files
from tests.optics.test_finite import WORLD as GREEN
from tests.work.labs import book_in, made, write
from tests.worlds.fired_labs import colour
from tests.worlds.samples import to_reading
from tests.worlds.write import write_rows

CARD, TITANIUM, STUMP = 0.6, 0.28, 0.12
BODIES = ("body", "ceramic", "material", "thickness_mm", "backing", "surface")
ROWS = (
    ("fleece-dark", "fleece", "zirconia", 1.0, "stump", "matt"),
    ("fleece-pale", "fleece", "zirconia", 1.0, "card", "matt"),
)
WHOLE = "ceramic: fleece\nread_over: card\nseated_on: titanium\n"


def piece(sample, thickness, backing):
    blank = replace(GREEN.blank("fleece"), thickness=thickness, backing=backing)
    return replace(to_reading(sample, GREEN.world.read(GREEN.world.piece(blank)), "matt"), stage="sintered")


def flat(sample, level):
    return to_reading(sample, np.full(31, level), "matt")


@pytest.fixture(scope="module")
def fired():
    readings = [piece("fleece-dark", 1.0, STUMP), piece("fleece-pale", 1.0, CARD), piece("crown", 0.8, CARD)]
    backings = [flat("stump", STUMP), flat("card", CARD), flat("titanium", TITANIUM)]
    return replace(made(3), readings=(*made(3).readings, *readings, *backings))


@pytest.fixture
def calibrated(tmp_path, fired):
    def learn(rows=ROWS, readings=fired):
        write(tmp_path, readings)
        write_rows(tmp_path / "bodies.csv", BODIES, rows)
        files = ("chips.csv", "readings.csv", "stains.yaml", "bodies.csv")
        book = book_in(tmp_path)
        return book, calibrate_files(book, ChipFiles(*(tmp_path / name for name in files)))

    return learn


def advised(book, folder, *, words=WHOLE, thickness="thickness_mm: 0.8, "):
    path = folder / "case.yaml"
    path.write_text(
        f"case: W-1\nmaterial: zirconia\nstage: sintered\nfinish: polish\n{words}zones:\n"
        f"  - {{tooth: 11, zone: middle, {thickness}now: {{file: readings.csv, sample: crown}}, "
        "target: {L: 70, a: 1, b: 12, illuminant: D65, observer: 10}}\n",
        encoding="utf-8",
    )
    result = advise_files(book, [path], AdviceAsked())
    (zone,) = result.cases[0].zones
    return zone, result.warnings


def leaves(zone):
    """Where the piece is without stain, as its first next step that adds none has it."""
    (left,) = [move for move in zone.moves if move.kind == "leave"]
    return np.array([left.colour.L, left.colour.a, left.colour.b])


def test_moves_speak_of_the_piece_as_seated(calibrated, tmp_path):
    book, learnt = calibrated()
    assert learnt.warnings == []
    zone, told = advised(book, tmp_path)
    loose, _ = advised(book, tmp_path, words="")
    true = colour(np.array(piece("true", 0.8, TITANIUM).reflectance), Viewing())
    read = colour(np.array(piece("read", 0.8, CARD).reflectance), Viewing())
    assert delta_e_2000(leaves(zone), true) < 0.4 < 1.0 < delta_e_2000(read, true)
    assert delta_e_2000(leaves(loose), read) < 0.1
    assert zone.standing == loose.standing  # where it stands is as it was read
    (line,) = [line for line in told if "seated on titanium" in line]
    told_apart = float(line.split("it will be ")[1].split(" ")[0])
    assert told_apart == pytest.approx(float(delta_e_2000(read, true)), abs=0.4)
    assert not [one for one in told if "not as seated" in one]  # blanks are compared as seated too
    assert zone.translucency.tp00 > 1.0
    assert 0.5 < zone.translucency.contrast_ratio < 1.0


def test_what_shows_through_and_was_not_said_is_told(calibrated, tmp_path):
    book, _ = calibrated()
    _, told = advised(book, tmp_path, words="ceramic: fleece\nread_over: card\n")
    assert "what lies behind it will show; say it with seated_on" in told[-1]
    _, told = advised(book, tmp_path, thickness="")
    assert told[-1] == "11 middle: what lies behind it is not computed: thickness_mm not said"


def test_a_backing_without_a_reading_is_told_or_refused(calibrated, tmp_path, fired):
    book, learnt = calibrated((ROWS[0], (*ROWS[1][:4], "grey felt", "matt")))
    assert "the backing 'grey felt' of fleece-pale has no reading" in learnt.warnings[0]
    _, told = advised(book, tmp_path)
    assert "fleece was not read in two backings" in told[0]
    assert "blank fleece-dark is compared as it was read, not as seated on titanium" in told
    book, _ = calibrated()
    with pytest.raises(UnknownNameError, match=r"what lies behind a zone .* without a reading: 'gold'"):
        advised(book, tmp_path, words=WHOLE.replace("titanium", "gold"))


def test_readings_that_no_scattering_explains_are_refused_and_nothing_is_stored(calibrated, tmp_path):
    swapped = [(*row[:4], other, "matt") for row, other in zip(ROWS, ("card", "stump"), strict=True)]
    with pytest.raises(FileError, match="no scattering explains these readings of ceramic fleece"):
        calibrated(swapped)
    with book_in(tmp_path) as book:
        assert book.bodies() == {}
        assert not book.chips()
