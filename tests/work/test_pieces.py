"""Pieces that read unlike flat plates: stains are computed on the plate's scale, told on the piece's."""

import numpy as np
import pytest

from stainbook.apparatus import Instrument
from stainbook.book import open_book
from stainbook.colour import WAVELENGTHS, lab_jacobian
from stainbook.records import Body, Reading, Viewing
from stainbook.work.case.advise import advise_files
from stainbook.work.reading.optical import lab_of, lab_on_grid, optical
from stainbook.work.reading.plate_and_piece import Pieces
from stainbook.work.reading.samples import colour_of
from stainbook.work.reading.viewing_conditions import Asked
from stainbook.work.sheets.bench import bench
from stainbook.work.stains.predict import predict_files
from tests.work.test_bench import BODY, WAVES, case, learn, spectra

D65 = Viewing("D65", 10)
OFFSET = (-3.0, 0.4, -1.0)
DOUBT = (0.6, 0.2, 0.3)
HAND = Instrument("hand", D65, piece_offset=OFFSET, piece_doubt=DOUBT)
PIECES = Pieces(frozenset({"plate"}), {"hand": HAND})
TEN = np.linspace(0.3, 0.7, 31)


def spectral(name="piece", **more):
    return Reading(name, WAVES, tuple(TEN.tolist()), instrument="hand", surface="glazed", **more)


def as_lab(name="piece"):
    L, a, b = lab_on_grid(TEN, D65)
    return Reading(name, lab=(L, a, b), viewing=D65, instrument="hand", surface="glazed")


@pytest.mark.parametrize("reading", [spectral(), as_lab()], ids=["spectrum", "L*a*b*"])
def test_a_piece_is_laid_on_as_the_plate_it_would_be_and_reads_as_it_did(reading):
    found = PIECES.laid_on(optical(reading))
    seen = lab_on_grid(TEN, D65)
    assert lab_on_grid(found.reflectance, D65) == pytest.approx(
        seen - np.array(OFFSET), abs=0.05
    )  # its shape is smooth
    wavelengths, nothing_done = found.after(found.reflectance)
    assert lab_of(nothing_done, wavelengths, D65) == pytest.approx(seen, abs=0.02)
    assert found.lab_offset(D65) == pytest.approx(OFFSET, abs=0.06)


def test_a_plate_that_stands_for_a_piece_will_read_as_pieces_do():
    found = PIECES.laid_on(optical(spectral("plate")))
    assert found.reflectance == pytest.approx(TEN, abs=1e-12)
    assert found.lab_offset(D65) == pytest.approx(OFFSET, abs=0.05)
    flat = colour_of(spectral("plate"), D65)
    seen = PIECES.seen(flat)
    assert seen.lab - flat.lab == pytest.approx(OFFSET, abs=1e-12)
    assert (seen.covariance - flat.covariance).diagonal() == pytest.approx(np.square(DOUBT), abs=1e-12)


def test_the_offsets_doubt_is_added():
    bare, found = optical(spectral()), PIECES.laid_on(optical(spectral()))
    more = found.ln_covariance - bare.ln_covariance
    by_ln = _by_ln(found.reflectance)
    assert (by_ln @ more @ by_ln.T).diagonal() == pytest.approx(np.square(DOUBT), rel=1e-6)


def _by_ln(R):
    return lab_jacobian(R, WAVELENGTHS, illuminant="D65", observer=10) * R


def test_other_instruments_and_other_samples_are_left_alone():
    other = Reading("piece", WAVES, tuple(TEN.tolist()), instrument="bench")
    assert PIECES.laid_on(optical(other)).shape is None
    assert PIECES.seen(colour_of(spectral(), D65)).lab == pytest.approx(lab_on_grid(TEN, D65), abs=1e-9)
    assert PIECES.told([other, None]) == []


@pytest.fixture
def book(tmp_path):
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}") as book:
        learn(book, tmp_path, kind="surface", firings=1)
        book.add_readings([Reading("W-1-11-middle", WAVES, tuple(BODY.tolist()), surface="glazed", instrument="hand")])
        yield book


def test_advice_and_bench_tell_the_offset_and_doubt_more(book, tmp_path):
    path = case(tmp_path, "stage: glazed")
    (before,) = advise_files(book, [path]).cases
    book.add_instruments([HAND])
    result = advise_files(book, [path])
    told = [line for line in result.warnings if "hand reads pieces -3.0 +0.4 -1.0 in L* a* b*" in line]
    assert len(told) == 1
    assert told[0] in bench(book, path).warnings
    first, then = before.zones[0].moves[0], result.cases[0].zones[0].moves[0]
    assert then.dE00_p95 > first.dE00_p95
    assert result.cases[0].zones[0].gap == before.zones[0].gap  # piece and target were both read as they are


def test_a_target_that_was_read_flat_takes_the_offset(book, tmp_path):
    path = case(tmp_path, "stage: glazed")
    book.add_bodies([Body("wanted")])
    flat = bench(book, path).zones[0].gap
    book.add_instruments([HAND])
    rows = (tmp_path / "targets.csv").read_text(encoding="utf-8").splitlines()
    (tmp_path / "targets.csv").write_text(f"{rows[0]},instrument\n{rows[1]},hand\n", encoding="utf-8")
    gap = bench(book, path).zones[0].gap
    assert gap.dL - flat.dL == pytest.approx(-OFFSET[0], abs=0.4)  # the target reads darker as a piece; S_L is near 1.3
    assert gap.u > flat.u


def test_a_prediction_on_a_piece_tells_the_offset(book, tmp_path):
    book.add_instruments([HAND])
    recipes = tmp_path / "recipes.csv"
    recipes.write_text("recipe,body,layer,stain,strength,coats\nr,piece,1,ochre,0.5,1\n", encoding="utf-8")
    spectra(tmp_path / "bare.csv", {"piece": BODY})
    plain = predict_files(book, recipes, tmp_path / "bare.csv")
    asked = Asked(instrument="hand", instruments=book.instruments())
    found = predict_files(book, recipes, tmp_path / "bare.csv", asked)
    assert not any("reads pieces" in line for line in plain.warnings)
    assert any("reads pieces" in line for line in found.warnings)
    assert found.recipes[0].dE00_p90 > plain.recipes[0].dE00_p90
    assert found.recipes[0].L == pytest.approx(plain.recipes[0].L, abs=1.5)  # the step back cancels most of it
