"""Which stripe to fire next: less doubt of the stain that the open case needs."""

import pytest

from stainbook.book import open_book
from stainbook.errors import InputError
from stainbook.records import UNKNOWN_VIEWING, Case, CaseZone, LabRef, Reading, Stain, Target, Viewing
from stainbook.work.lab.next_stripe import LEAST, next_stripes, stripes_for_open
from stainbook.work.stains.stain_calibration import ChipFiles, calibrate_files
from tests.work.test_bench import BODY, WAVES, case, painted, spectra


@pytest.fixture
def book(tmp_path):
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}") as book:
        yield book


def learn(book, tmp_path, stripes):
    """A stain with some stripes and one with none; the case needs the first."""
    book.add_stains([Stain("ochre", family="brown"), Stain("sky", family="blue")])
    rows = {"plate": BODY} | {f"c{i}": painted(*stripe) for i, stripe in enumerate(stripes)}
    chips = [f"c{i},plate,1,ochre,{share},{coats},1" for i, (share, coats) in enumerate(stripes)]
    (tmp_path / "chips.csv").write_text(
        "\n".join(["chip,body,layer,stain,strength,coats,firings", *chips]), encoding="utf-8"
    )
    calibrate_files(book, ChipFiles(tmp_path / "chips.csv", spectra(tmp_path / "readings.csv", rows)))
    book.add_readings([Reading("W-1-11-middle", WAVES, tuple(BODY.tolist()), surface="glazed")])
    spectra(tmp_path / "targets.csv", {"wanted": painted(0.5, 1)})
    return case(tmp_path, "stage: glazed")


def test_the_first_stripes_gain_most_and_the_gains_are_ranked(book, tmp_path):
    found = next_stripes(book, [learn(book, tmp_path, [(1 / 16, 1)])])
    assert [one.rank for one in found] == list(range(1, len(found) + 1))
    assert [one.gain for one in found] == sorted((one.gain for one in found), reverse=True)
    best = found[0]
    assert (best.stain, best.plate) == ("ochre", "plate")
    assert best.gain > 0.02
    assert best.cases == {"W-1": pytest.approx(best.gain, abs=1e-12)}
    assert all(one.gain >= LEAST for one in found)


def test_a_stain_that_is_well_known_has_little_left_to_gain(book, tmp_path):
    stripes = [(1 / 16, 1), (1 / 4, 1), (1 / 2, 1), (1 / 2, 1), (1.0, 1), (1 / 4, 2), (1 / 2, 2)]
    found = next_stripes(book, [learn(book, tmp_path, stripes)])
    assert max((one.gain for one in found if one.stain == "ochre"), default=0.0) < 0.05


def test_before_a_first_plate_there_is_nothing_to_rank(book, tmp_path):
    spectra(tmp_path / "targets.csv", {"wanted": painted(0.5, 1)})
    with pytest.raises(InputError, match="calibrate"):
        next_stripes(book, [case(tmp_path, "stage: glazed")])


def kept(code, *, stage="glazed", viewing=None, zones=1):
    """A case of the book whose target is darker and warmer than the piece."""
    target = Target(LabRef((78.0, 3.0, 14.0), viewing or Viewing()))
    zone = CaseZone(11, "middle", "tooth", LabRef((84.0, 1.0, 4.0), viewing or Viewing()), target)
    return Case(code, (zone,) * zones, stage=stage)


def test_without_case_files_the_open_cases_of_the_book_count(book, tmp_path):
    learn(book, tmp_path, [(1 / 16, 1)])
    done = [kept("D-1", stage="delivered"), kept("D-2", stage="bonded"), kept("D-3", stage="trial")]
    book.add_cases([kept("W-2"), *done, kept("E-1", zones=0), kept("U-1", viewing=UNKNOWN_VIEWING)])
    found, told = stripes_for_open(book)
    assert found[0].stain == "ochre"
    assert set(found[0].cases) == {"W-2"}
    (line,) = told
    assert line.startswith("U-1 is not counted")


def test_a_book_without_an_open_case_says_so(book, tmp_path):
    learn(book, tmp_path, [(1 / 16, 1)])
    book.add_cases([kept("D-1", stage="delivered")])
    with pytest.raises(InputError, match="no open case"):
        stripes_for_open(book)
