"""What the bench writes of mixes and coats, read."""

import pytest

from stainbook.errors import InputError
from stainbook.records import Layer, Pot
from stainbook.work.stains.painted import painted_layers, painted_text

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
