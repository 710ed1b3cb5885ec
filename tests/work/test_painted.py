"""What the bench writes of mixes and coats, read."""

import re
from typing import get_args

import pytest

from stainbook.cli.case_steps import Mix
from stainbook.errors import InputError
from stainbook.files import read_stains
from stainbook.pages.shell import way_texts
from stainbook.records import Layer, Pot
from stainbook.work.app.shipped import shipped
from stainbook.work.stains.painted import liquids_of, painted_layers, painted_text, soaks

HUSK_8 = Pot.of({"husk": 1 / 8})


@pytest.mark.parametrize(
    ("text", "layers"),
    [
        ("2 × 1 part husk + 7 parts clear", (Layer(HUSK_8, 2),)),
        ("2x1 husk+7 clear", (Layer(HUSK_8, 2),)),
        ("1 part husk + 7 parts clear, 2 coats", (Layer(HUSK_8, 2),)),
        ("two-tone undiluted", (Layer(Pot.of({"two-tone": 1.0})),)),
        ("0,125 of husk + 0,875 of clear", (Layer(HUSK_8),)),
        ("husk; 3 coats of 1 peat + 1 clear", (Layer(Pot.of({"husk": 1.0})), Layer(Pot.of({"peat": 0.5}), 3))),
        ("1 × clear undiluted", (Layer(Pot()),)),
        (" ", ()),
    ],
)
def test_what_is_written_is_understood(text, layers):
    assert painted_layers(text) == layers


@pytest.mark.parametrize("shares", [{"husk": 1 / 16}, {"husk": 1 / 4, "peat": 1 / 8}, {"husk": 1.0}, {}])
def test_what_is_shown_is_read_back(shares):
    layers = (Layer(Pot.of(shares), 2), Layer(Pot.of({"peat": 0.5})))
    assert painted_layers(painted_text(layers)) == layers


@pytest.mark.parametrize("text", ["99 × husk", "2 ×", "0 parts husk", "7"])
def test_what_is_no_mix_is_refused(text):
    with pytest.raises(InputError, match="expected"):
        painted_layers(text)


@pytest.mark.parametrize("help_", [get_args(Mix)[1].help, way_texts.LIQUIDS_LABEL], ids=["command", "page"])
def test_the_liquids_that_help_names_are_taken_by_the_demonstration(help_):
    (mix,) = re.findall(r"such as '?(.*\))", help_)
    stains = read_stains(shipped("recipes") / "stains.yaml").records
    assert soaks(painted_layers(mix), liquids_of(stains))
