"""What passes and dips of a liquid do to zirconia, beside what was published of it: the shape alone, not a product.

A tooth-coloured liquid is scaled so that five passes make the largest published difference; then the smallest one, the
directions, and the dips that come to less and less must follow.
"""

import csv
from pathlib import Path

import numpy as np
import pytest

from stainbook.colour import WAVELENGTHS, spectrum_to_lab
from stainbook.optics.ceramic import Ceramic
from stainbook.optics.curves import LN_K, expected_curve
from stainbook.optics.film import Piece
from stainbook.optics.laid import Laid
from stainbook.optics.stack import stack_of
from stainbook.records import Layer, Pot

TABLE = Path(__file__).parents[1] / "published" / "liquids.csv"
LOW, HIGH = range(2)


def published(what):
    with TABLE.open(encoding="utf-8", newline="") as stream:
        (row,) = [row for row in csv.DictReader(stream) if row["what"].startswith(what)]
    return float(row["low"]), float(row["high"])


def colours(passes, *, ln_strength=0.0, surface="polished", glazed=False):
    """L*, a*, b* after so many passes or minutes of dipping."""
    bare = 0.62 - 0.12 / (1.0 + np.exp((np.asarray(WAVELENGTHS, dtype=float) - 470.0) / 30.0))
    piece = Piece(bare[None], surface, 0.0, Ceramic(2.15))
    mean = expected_curve("gorse", "infiltrating", "orange").mean.copy()
    mean[LN_K] += ln_strength
    stack = stack_of([(Layer(Pot.of({"gorse": 1.0}), count),) if count else () for count in passes], ["gorse"])
    laid = Laid.of(piece, stack, mean[None], np.array([True]), glazed=glazed)
    return spectrum_to_lab(np.exp(laid.ln_after()), WAVELENGTHS, illuminant="D65", observer=2)


@pytest.fixture(scope="module")
def strength():
    """Of the liquid whose five passes make the largest published difference."""
    wanted = published("0-5 applications on")[HIGH]
    tried = np.linspace(-3.0, 3.0, 121)
    made = [np.linalg.norm(np.diff(colours([0, 5], ln_strength=ln), axis=0)) for ln in tried]
    return float(np.interp(wanted, made, tried))


def test_passes_span_what_was_published(strength):
    lab = colours(range(6), ln_strength=strength)
    apart = np.linalg.norm(lab[:, None] - lab[None], axis=2)[np.triu_indices(6, 1)]
    low, high = published("0-5 applications on")
    assert apart.max() == pytest.approx(high, abs=0.3)
    assert apart.min() == pytest.approx(low, abs=0.7)  # another liquid, whose shade only its maker knows
    assert np.all(np.sign(np.diff(lab[:, 0])) == published("0-5 applications, sign of the change of L*")[LOW])
    assert np.all(np.sign(np.diff(lab[:, 2])) == published("0-5 applications, sign of the change of b*")[LOW])


def test_longer_dips_add_less_and_less(strength):
    lab = colours([0, 3, 5, 7], ln_strength=strength)
    steps = np.linalg.norm(np.diff(lab, axis=0), axis=1)
    assert steps[0] / 3 > steps[1] / 2 > steps[2] / 2
    low, high = published("dips of 3")
    assert low < steps[0] < steps.sum() < high


def test_the_glazed_piece_is_lighter_than_the_polished_one(strength):
    polished, glazed = (colours([3], ln_strength=strength, glazed=glass)[0, 0] for glass in (False, True))
    assert np.sign(glazed - polished) == published("the same, sign of L*")[LOW]
