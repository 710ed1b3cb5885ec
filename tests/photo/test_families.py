"""The families of living teeth and gum against published colours: they hold what was read, and little beyond."""

import csv
from pathlib import Path

import numpy as np
import pytest

from stainbook.colour import WAVELENGTHS, spectrum_to_lab
from stainbook.errors import UnknownNameError
from stainbook.photo.tissue_families import SIZE, living_family

TABLE = Path(__file__).parents[1] / "published" / "living_tissue.csv"
ROWS = list(csv.DictReader(TABLE.read_text(encoding="utf-8").splitlines()))
# least and most of L*, a*, b* that any source has: gum of Gomez-Polo 2019 (n = 259); teeth: means of the table with
# the +-15 L*, +-4 a*, +-10 b* that people differ by (common practice)
WIDEST = {"gingiva": ((28.3, 11.1, 6.9), (65.4, 37.2, 25.2)), "tooth": ((56, -3, 3), (99, 5.5, 36))}
BETWEEN_SCALES = 5.0  # L*, a*, b* units that instruments, lights and observers differ by on gum


def lab_of(tissue, observer):
    return spectrum_to_lab(living_family(tissue), WAVELENGTHS, illuminant="D65", observer=observer)


@pytest.mark.parametrize("row", ROWS, ids=[f"{row['tissue']}: {row['what']}" for row in ROWS])
def test_a_published_mean_lies_within_the_family(row):
    """As the sources mostly read for the 2 degree observer; curves lie some 3 units from one another."""
    mean = np.array([float(row[axis]) for axis in "Lab"])
    assert np.linalg.norm(lab_of(row["tissue"], 2) - mean, axis=1).min() < 4.0


@pytest.mark.parametrize("row", [row for row in ROWS if row["L_sd"]], ids=lambda row: row["what"])
def test_most_people_lie_within_the_family(row):
    mean, spread = (np.array([float(row[axis + end]) for axis in "Lab"]) for end in ("", "_sd"))
    people = mean + spread * np.random.default_rng(1).standard_normal((400, 3))
    away = np.linalg.norm(people[:, np.newaxis] - lab_of(row["tissue"], 2), axis=-1).min(axis=1)
    assert (
        np.mean(away < 6.0) > 0.78
    )  # dark gum least: L*, a*, b* were drawn apart, which makes colours that nobody has


@pytest.mark.parametrize("tissue", WIDEST)
def test_the_family_holds_little_that_nobody_has(tissue):
    low, high = (np.array(side) for side in WIDEST[tissue])
    lab = lab_of(tissue, 2)
    assert np.all((lab > low - BETWEEN_SCALES) & (lab < high + BETWEEN_SCALES), axis=1).mean() > 0.95
    assert len(lab) == SIZE


def test_gum_of_usual_lightness_reflects_red_as_was_read():
    """17 to 45 % at 632.8 nm (photo_sources.md)."""
    usual = np.abs(lab_of("gingiva", 2)[:, 0] - 50.0) < 6.4
    red = living_family("gingiva")[usual, list(WAVELENGTHS).index(630)]
    assert 0.17 < np.median(red) < 0.45


def test_gum_shows_the_bands_of_blood():
    """Oxygenated blood absorbs more at 540 and 580 nm than between them at 560 nm (the common compilation)."""
    at = [list(WAVELENGTHS).index(nm) for nm in (540, 560, 580)]
    bands = np.log(living_family("gingiva")[:, at])
    assert np.mean(bands[:, 1] > (bands[:, 0] + bands[:, 2]) / 2) > 0.9


def test_another_tissue_has_no_family():
    with pytest.raises(UnknownNameError):
        living_family("skin")
