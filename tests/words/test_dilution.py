"""How a fresh mix is made without weighing little: from a mix that stands ready, else in two steps."""

from __future__ import annotations

import pytest

from stainbook.errors import FileError
from stainbook.files import read_mixes
from stainbook.words.dilution import dilution_of

STOCK = {"neck": {"husk": 0.25, "teasel": 0.25}, "edge": {"flour": 0.5}}


@pytest.mark.parametrize(
    ("pot", "said"),
    [
        ({"husk": 0.0625, "teasel": 0.0625}, "1 part neck + 3 parts clear"),
        ({"flour": 0.125}, "1 part edge + 3 parts clear"),
        ({"flour": 0.25, "rook": 0.25}, "2 parts edge + 1 part rook + 1 part clear"),
        ({"husk": 0.25}, None),  # weighed well as it is
        ({"husk": 0.0625}, "first 1 part husk + 1 part clear; then 1 part of that + 7 parts clear"),
        (
            {"husk": 0.125, "rook": 0.0625},
            "first 2 parts husk + 1 part rook + 5 parts clear; then 1 part of that + 1 part clear",
        ),
    ],
)  # fmt: skip
def test_how_a_mix_is_thinned(pot, said):
    assert dilution_of(pot, STOCK) == said


def test_standing_mixes_are_read(tmp_path):
    path = tmp_path / "mixes.yaml"
    path.write_text(
        "- {mix: neck-2, pot: {husk: 1/8, teasel: 1/8}, made_on: 2026-03-02, by: , lots: {husk: 24-117}, left: }\n"
        "- {mix: 0117, pot: {flour: 0.5}}\n",
        encoding="utf-8",
    )
    neck, other = read_mixes(path).records
    assert neck.pot.as_dict() == {"husk": 0.125, "teasel": 0.125}
    assert (neck.made_on, neck.by, neck.lots) == ("2026-03-02", None, (("husk", "24-117"),))
    assert other.mix == "0117"


@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        ("- {mix: one, pot: {husk: 1/8}}\n- {mix: one, pot: {husk: 1/4}}\n", "a second time"),
        ("- {mix: one, pot: {}}\n", "no stain"),
        ("- {mix: one}\n", "pot"),
        ("- {mix: one, pot: {husk: 2}}\n", "2"),
        ("[]\n", "no mix"),
    ],
)
def test_a_list_that_is_none_says_where(tmp_path, text, wrong):
    path = tmp_path / "mixes.yaml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(FileError, match=wrong):
        read_mixes(path)
