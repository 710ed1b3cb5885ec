"""Mixes, layers and the letters of a palette."""

from __future__ import annotations

import re

import pytest

from stainbook.records import Layer, Pot
from stainbook.words import mixes
from stainbook.work.stains.painted import painted_layers, painted_text

SHADES = re.compile(r"[A-IL-OQ-TV-X]")  # what codes of shades, powders or dental charts begin with


@pytest.mark.parametrize(
    ("shares", "words"),
    [
        ({"husk": 1 / 8}, "1 part husk + 7 parts clear"),
        ({"husk": 1 / 8, "teasel": 1 / 4}, "1 part husk + 2 parts teasel + 5 parts clear"),
        ({"husk": 0.5, "teasel": 0.5}, "1 part husk + 1 part teasel"),
        ({"husk": 0.5}, "1 part husk + 1 part clear"),
        ({"husk": 1.0}, "husk undiluted"),
        ({"husk": 1 / 3}, "1 part husk + 2 parts clear"),
        ({}, "clear undiluted"),
        ({"husk": 0.123}, "0.123 of husk + 0.877 of clear"),
    ],
)
def test_a_mix_is_told_in_parts(shares, words):
    assert mixes.mix(shares) == words


def test_layers_are_told_bottom_first():
    layers = (Layer(Pot.of({"husk": 0.125}), 2), Layer(Pot.of({"teasel": 0.5}), 1))
    words = "2 coats of (1 part husk + 7 parts clear), dried, then 1 coat of (1 part teasel + 1 part clear)"
    assert mixes.layers(layers) == words


def test_a_liquid_is_thinned_with_its_own_liquid_never_with_clear():
    said = mixes.layer({"bracken": 0.5}, 2, liquid=True)
    assert said == "2 coats of (1 part bracken + 1 part thinning liquid)"
    assert "clear" not in said


@pytest.mark.parametrize("tissue", ["tooth", "gingiva"])
def test_no_letter_of_a_mix_is_read_as_a_shade(tissue):
    told = mixes.names([tissue] * 12)
    assert len(set(told)) == 12
    assert not any(SHADES.search(name) for name in told)


def test_letters_are_doubled_where_they_run_out():
    assert mixes.names(["tooth"] * 5 + ["gingiva"] * 3) == ["Y", "J", "U", "K", "YY", "P", "Z", "PP"]


def test_coats_of_a_mix_are_never_read_as_parts():
    assert mixes.coats_of("Y", 1) == "mix Y, 1 coat"
    assert mixes.mark("Y", 2) == "Y••"


@pytest.mark.parametrize(
    "written",
    [
        "2 coats of (1 part husk + 7 parts clear); 1 coat of pollen undiluted",
        "2 × 1 part husk + 7 parts clear; pollen",
        "1 part husk + 7 parts clear, 2 coats; 1 x pollen",
        "2 coats of 1 part husk + 7 parts clear; pollen",
    ],
)
def test_what_is_typed_is_read_in_either_way(written):
    assert painted_layers(written) == (Layer(Pot.of({"husk": 1 / 8}), 2), Layer(Pot.of({"pollen": 1.0}), 1))


@pytest.mark.parametrize("liquid", [False, True])
def test_what_is_written_is_read_back(liquid):
    layers = (Layer(Pot.of({"husk": 1 / 8, "teasel": 1 / 4}), 2), Layer(Pot.of({"teasel": 1.0}), 1))
    assert painted_layers(painted_text(layers, liquid=liquid)) == layers
