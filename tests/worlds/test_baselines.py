"""The baselines do what they claim: in a lab that is as they assume, they are right; elsewhere their doubt says so."""

from dataclasses import replace

import numpy as np
import pytest

from stainbook.colour import delta_e_2000
from stainbook.match.layer_options import options_of
from stainbook.optics.fit import FiredChip
from stainbook.records import Layer, Pot
from tests.optics import kubelka_munk as km
from tests.worlds.baselines import CHANNELS, GLASS_K2, Flux, Shifts, best, best_of_few, chance, lab_of, radius

NM = np.arange(400.0, 701.0, 10.0)
PALE = 0.65 - 0.15 / (1 + np.exp((NM - 470) / 30))
DARK = 0.6 * PALE
K = {"husk": 0.4 * np.exp(-(NM - 400) / 90), "slate": np.full(31, 0.12)}
S = {"husk": np.full(31, 0.05), "slate": np.full(31, 0.02)}
STRIPES = ((PALE, "pale", 1.0, 1), (PALE, "pale", 1.0, 2), (PALE, "pale", 0.25, 1), (PALE, "pale", 1 / 16, 1),
           (DARK, "dark", 1.0, 1), (DARK, "dark", 0.25, 2))  # fmt: skip
POTS = [Pot.of({name: share}) for name in K for share in (0.0625, 0.125, 0.25, 0.5)]


def fired(body, *layers):
    """What two-flux layers on a glazed body reflect."""
    inside = km.inverse_saunderson(body, 0.04, GLASS_K2, specular=False)
    for layer in layers:
        ((name, share),) = layer.pot.shares
        inside = km.reflectance(layer.coats * share * K[name], layer.coats * share * S[name], 1.0, inside)
    return km.saunderson(inside, 0.04, GLASS_K2, specular=False)


@pytest.fixture(scope="module")
def chips():
    made = [
        (f"{name}-{i}", plate, body, Layer(Pot.of({name: share}), coats))
        for name in K
        for i, (body, plate, share, coats) in enumerate(STRIPES)
    ]
    return [
        FiredChip(key, plate, None, (layer,), body, "glazed", fired(body, layer), 1e-6 * np.eye(31))
        for key, plate, body, layer in made
    ]


def test_two_flux_is_right_in_a_two_flux_lab(chips):
    layers = (Layer(Pot.of({"husk": 0.5}), 1), Layer(Pot.of({"slate": 0.25}), 2))
    (found,) = Flux(chips).colours(0.9 * PALE, "glazed", [layers])
    assert delta_e_2000(found, lab_of(fired(0.9 * PALE, *layers))) < 0.2  # the weak priors pull a little


def test_three_channels_come_close_there_and_know_colours_without_stain(chips):
    three = Flux(chips, CHANNELS)
    bare, stained = three.colours(PALE, "glazed", [(), (Layer(Pot.of({"husk": 0.5})),)])
    np.testing.assert_allclose(bare, lab_of(PALE), atol=1e-6)
    assert delta_e_2000(stained, lab_of(fired(PALE, Layer(Pot.of({"husk": 0.5}))))) < 0.6


def test_shifts_repeat_their_stripes_and_add_up(chips):
    shifts = Shifts(chips)
    one = Layer(Pot.of({"husk": 0.25}))
    once, twice = shifts.colours(PALE, "glazed", [(one,), (one, one)])
    np.testing.assert_allclose(once, lab_of(fired(PALE, one)), atol=1e-9)
    np.testing.assert_allclose(twice - once, once - lab_of(PALE), atol=1e-9)


def test_doubt_comes_from_the_stripes_that_are_missed(chips):
    rng = np.random.default_rng(1)
    sure = Flux(chips)
    shaky = Flux([replace(c, reading=c.reading * np.exp(0.05 * rng.standard_normal())) for c in chips])
    colour = lab_of(PALE)
    assert radius(shaky, colour, np.random.default_rng(2)) > 3 * radius(sure, colour, np.random.default_rng(2))
    assert chance(sure, colour, colour, 1.8, np.random.default_rng(3)) == 1.0


def test_advice_finds_layers_that_make_the_target(chips):
    told = Flux(chips)
    layers = (Layer(Pot.of({"husk": 0.25}), 2), Layer(Pot.of({"slate": 0.125})))
    target = lab_of(fired(PALE, *layers))
    stack, colour = best(told, PALE, "glazed", target, options_of(POTS, 2))
    assert delta_e_2000(colour, target) < 0.2
    assert delta_e_2000(lab_of(fired(PALE, *stack)), target) < 0.3


def test_a_few_mixes_serve_zones_that_want_them(chips):
    told = Flux(chips)
    wanted = [(Layer(Pot.of({"husk": 0.25})),), (Layer(Pot.of({"slate": 0.125}), 2),)] * 3
    pieces = [(PALE, "glazed", lab_of(fired(PALE, *layers))) for layers in wanted]
    stacks = best_of_few(told, pieces, options_of(POTS, 2, in_all=4), mixes=2, coats=4)
    assert len({layer.pot for stack in stacks for layer in stack}) <= 2
    far = [delta_e_2000(lab_of(fired(PALE, *stack)), p[2]) for stack, p in zip(stacks, pieces, strict=True)]
    assert max(far) < 0.3
