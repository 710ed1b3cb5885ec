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
        ("1/8 husk", (Layer(HUSK_8),)),
        ("2 coats of 1/8 of husk", (Layer(HUSK_8, 2),)),
        ("2 x ⅛ husk", (Layer(HUSK_8, 2),)),
        ("12.5 % husk + clear, 2 coats", (Layer(HUSK_8, 2),)),
        ("0,125 husk", (Layer(HUSK_8),)),
        ("1/8 husk + 7/8 Clear", (Layer(HUSK_8),)),
        ("1/4 husk + 1/2 peat", (Layer(Pot.of({"husk": 0.25, "peat": 0.5})),)),
        ("1 1/2 parts husk + 1/2 part clear", (Layer(Pot.of({"husk": 0.75})),)),
        ("1½ parts husk + 0.5 part clear", (Layer(Pot.of({"husk": 0.75})),)),
        ("0.5 husk + 1.5 clear", (Layer(Pot.of({"husk": 0.25})),)),
        ("1/3 husk + 1/3 peat + 1/3 moss", (Layer(Pot.of(dict.fromkeys(["husk", "peat", "moss"], 1 / 3))),)),
        (" ", ()),
    ],
)
def test_what_is_written_is_understood(text, layers):
    assert painted_layers(text) == layers


@pytest.mark.parametrize("shares", [{"husk": 1 / 16}, {"husk": 1 / 4, "peat": 1 / 8}, {"husk": 1.0}, {}])
def test_what_is_shown_is_read_back(shares):
    layers = (Layer(Pot.of(shares), 2), Layer(Pot.of({"peat": 0.5})))
    assert painted_layers(painted_text(layers)) == layers


@pytest.mark.parametrize(
    "text",
    [
        "99 × husk", "2 ×", "0 parts husk", "7", "1/0 husk", "/4 husk", "1/4", "1/4 husk + 2 parts clear",
        "3/4 husk + 1/2 peat", "1/4 husk + 1/4 clear", "1/4 husk + peat", "1/4 part husk", "0 % husk + husk",
        "110 % husk",
    ],
)  # fmt: skip
def test_what_is_no_mix_is_refused(text):
    with pytest.raises(InputError, match="expected"):
        painted_layers(text)


@pytest.mark.parametrize("help_", [get_args(Mix)[1].help, way_texts.LIQUIDS_LABEL], ids=["command", "page"])
def test_the_liquids_that_help_names_are_taken_by_the_demonstration(help_):
    (mix,) = re.findall(r"such as '?(.*\))", help_)
    stains = read_stains(shipped("recipes") / "stains.yaml").records
    assert soaks(painted_layers(mix), liquids_of(stains))
