"""mixes.yaml: the mixes that the lab keeps ready in jars of its own."""

from __future__ import annotations

from pathlib import Path

from stainbook.errors import FileError
from stainbook.files.case import read_pot
from stainbook.files.loaded import Loaded
from stainbook.files.text import shown
from stainbook.files.yaml_nodes import Node, read_yaml
from stainbook.kept import StandingMix
from stainbook.language import say

_TEXTS = ("made_on", "by", "reading", "left")
KEYS = ("mix", "pot", *_TEXTS, "lots")


def read_mixes(path: Path | str) -> Loaded[StandingMix]:
    """Read mixes.yaml, a list of standing mixes.

    Raises
    ------
    FileError
        For anything malformed: names the file, the row and key, what was found and expected.

    >>> from pathlib import Path
    >>> from stainbook.files import read_mixes
    >>> Path("mixes.yaml").write_text("- {mix: neck-2, pot: {husk: 1/8}}\\n")
    34
    >>> read_mixes("mixes.yaml").records[0].mix
    'neck-2'
    """
    mixes: dict[str, StandingMix] = {}
    for node in read_yaml(path, say("a list of standing mixes")).items():
        one = _mix(node)
        if one.mix in mixes:
            raise node.fail(say("the mix {mix} a second time", mix=shown(one.mix)), say("each mix once"))
        mixes[one.mix] = one
    if not mixes:
        raise FileError(path, say("no mix"), say("a list of standing mixes"))
    return Loaded(tuple(mixes.values()))


def _mix(node: Node) -> StandingMix:
    keys = node.mapping(KEYS, required=("mix", "pot"))
    pot = read_pot(keys["pot"])
    if not pot.shares:
        raise keys["pot"].fail(say("no stain"), say("one stain or more: clear glaze alone is no mix"))
    texts = {name: _said(keys[name]) for name in _TEXTS if name in keys}
    lots = keys["lots"].mapping() if "lots" in keys else {}
    own = tuple(sorted((stain, lot.text()) for stain, lot in lots.items()))
    return StandingMix(keys["mix"].text(), pot, lots=own, **texts)


def _said(node: Node) -> str | None:
    """A text; nothing where the key stands without a value."""
    return None if node.value in (None, "") else node.text()
