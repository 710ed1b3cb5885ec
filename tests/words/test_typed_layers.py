"""Layers are read back as they are shown: in English, and in the language that is spoken."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from stainbook.errors import InputError
from stainbook.language import shown
from stainbook.records import Layer, Pot
from stainbook.words import mixes
from stainbook.work.stains.painted import painted_layers, painted_text
from tests.tools.catalogue import OPEN, outside

NAMES = ("husk", "teasel", "rook", "old bone", "weir 2")


def pots():
    eighths = st.lists(st.integers(1, 4), min_size=1, max_size=2)
    names = st.permutations(NAMES)
    return st.builds(
        lambda parts, names: Pot.of({name: n / 8 for name, n in zip(names, parts, strict=False)}), eighths, names
    )


LAYERS = st.lists(st.builds(Layer, pots(), st.integers(1, 20)), min_size=1, max_size=3).map(tuple)
MANY = settings(
    max_examples=60, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


@MANY
@given(LAYERS, st.booleans())
def test_layers_are_read_back_as_they_are_shown(in_pseudo, layers, liquid):
    field, line = shown(painted_text(layers, liquid=liquid)), shown(mixes.layers(layers, liquid=liquid))
    assert OPEN in field
    assert OPEN in line
    for said in (field, line, painted_text(layers, liquid=liquid), mixes.layers(layers, liquid=liquid)):
        assert painted_layers(said) == layers
    assert set(outside(field)) <= {word for name in NAMES for word in name.split()}


def test_stain_alone_and_fine_shares_are_read_back(in_pseudo):
    for pot in ({"husk": 1.0}, {"husk": 0.123}, {}):
        layers = (Layer(Pot.of(pot), 2),)
        assert painted_layers(shown(painted_text(layers))) == layers


def test_coats_may_stand_behind_the_mix(in_pseudo):
    said = f"{shown(mixes.mix({'husk': 0.5}))}, {shown(mixes.coats(3))}"
    assert painted_layers(said) == (Layer(Pot.of({"husk": 0.5}), 3),)


def test_what_is_typed_in_english_is_read_in_any_language(in_pseudo):
    assert painted_layers("2 x 1 part husk + 1 part clear, dried, then teasel") == (
        Layer(Pot.of({"husk": 0.5}), 2),
        Layer(Pot.of({"teasel": 1.0}), 1),
    )


def test_too_many_coats_are_refused_in_any_language(in_pseudo):
    with pytest.raises(InputError, match="found 21 coats"):
        painted_layers(shown(mixes.layer({"husk": 0.5}, 21)))
