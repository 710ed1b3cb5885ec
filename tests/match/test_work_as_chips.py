"""A stain without a chip is learnt from zones that were painted with it alone."""

from dataclasses import replace

import numpy as np
import pytest

from stainbook.colour import delta_e_2000
from stainbook.match.fired import Fired
from stainbook.match.learning import learn
from stainbook.optics.curves import Optics, StainCurve
from stainbook.optics.film import Piece
from stainbook.optics.forecast import forecast
from stainbook.records import Layer, Pot
from tests.match.lab import CERAMIC, lab_of, optics_of, tooth
from tests.optics.painted import true_numbers

NEW = "thrift"
FAMILIES = {NEW: ("surface", "brown")}
KNOWN = optics_of(("husk", "teasel"))


def truth():
    """What the new stain really is, as a lab knows it that has chips of it."""
    curve = StainCurve(NEW, "surface", "brown", true_numbers(3), 1e-3 * np.eye(64), 7)
    return replace(KNOWN, stains={**KNOWN.stains, NEW: curve})


def seen(optics: Optics, level: float, *layers: Layer) -> np.ndarray:
    (found,) = forecast(optics, Piece(tooth(level), "glazed", 0.0, CERAMIC), [layers], families=FAMILIES)
    return np.exp(found.ln_mean)


def zone(key, level, share, coats, *, operator="bench-1", strong=1.0):
    layers = (Layer(Pot.of({NEW: share}), coats),)
    after = seen(truth(), level, *layers) ** strong * tooth(level) ** (1.0 - strong)
    noise = np.random.default_rng(int(key[-1])).standard_normal(31)
    return Fired(
        key, tooth(level), "glazed", CERAMIC, layers, after * np.exp(0.001 * noise), 1e-5 * np.eye(31), "zirconia",
        operator, firing=key,
    )  # fmt: skip


WORK = [
    zone("f1", 0.55, 0.25, 1), zone("f2", 0.6, 0.5, 2), zone("f3", 0.45, 1.0, 1), zone("f4", 0.7, 0.125, 2),
    zone("f5", 0.5, 0.5, 1), zone("f6", 0.6, 1.0, 2),
]  # fmt: skip


@pytest.mark.parametrize("count", [1, 3, 6])
def test_zones_painted_with_it_alone_are_its_chips(count):
    found = learn(replace(KNOWN, operator="bench-1"), WORK[:count], families=FAMILIES)
    for share, coats in ((0.25, 2), (0.5, 1), (1.0, 1)):
        layers = (Layer(Pot.of({NEW: share}), coats),)
        told, true = (lab_of(seen(one, 0.58, *layers)) for one in (found.optics, truth()))
        expected = lab_of(seen(KNOWN, 0.58, *layers))
        assert delta_e_2000(told, true) < max(0.5, 0.3 * delta_e_2000(expected, true))
    assert not found.factors  # what is a chip tells nothing of hands


def test_what_was_painted_with_others_still_teaches_hands():
    mixed = replace(WORK[0], key="m", layers=(Layer(Pot.of({"husk": 0.5}), 1),), operator="bench-2")
    mixed = replace(mixed, after=seen(KNOWN, 0.55, *mixed.layers))
    found = learn(replace(KNOWN, operator="bench-1"), [*WORK, mixed], families=FAMILIES)
    assert [one.name for one in found.factors.values()] == ["bench-2"]
