"""What was painted, as the bench writes it: ``2 coats of (1 part husk + 7 parts clear); pollen`` to layers and back.

The older ``2 × 1 part husk + 7 parts clear`` is read as well, shares such as ``1/8 husk`` too, and what the language
that is spoken has for it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from stainbook.errors import InputError
from stainbook.language import joined, say
from stainbook.records import Layer, Layers, Stain
from stainbook.words import mixes, typed_layers
from stainbook.work.documents.schemas import PaintedLayer
from stainbook.work.stains.typed_mix import typed_mix

_COATS = re.compile(r"(\d+)\s*(?:[x×*]|coats?(?:\s+of)?\b)\s*", re.IGNORECASE)
_COATS_AFTER = re.compile(r",?\s*(\d+)\s*coats?$", re.IGNORECASE)
_MOST_COATS = 20


def painted_text(layers: Iterable[mixes.Coated], *, liquid: bool = False) -> str:
    """Layers as they are written into a field, bottom first."""
    return joined((mixes.layer(one.pot, one.coats, liquid=liquid) for one in layers), "; ")


def liquids_of(stains: Iterable[Stain]) -> frozenset[str]:
    """The names of stains that soak into an unsintered piece."""
    return frozenset(one.name for one in stains if one.kind == "infiltrating")


def soaks(layers: Layers, liquids: frozenset[str]) -> bool:
    """True for layers of liquids alone: what thins them is no clear glaze."""
    used = {name for layer in layers for name in layer.pot.stains}
    return bool(used) and used <= liquids


def told_layers(layers: Layers, liquids: frozenset[str]) -> str:
    """Layers as they are written, liquids with what thins them."""
    return painted_text(layers, liquid=soaks(layers, liquids))


def painted_layers(text: str) -> Layers:
    """Layers from what was written; raises InputError for what says none."""
    parts = (part.strip() for part in re.split(r"[;\n]", text) if part.strip())
    return tuple(_layer(one) for part in parts for one in typed_layers.one_by_one(part))


def _layer(text: str) -> Layer:
    coats, body = typed_layers.coats_and_mix(text) or _coats_and_mix(text)
    body = body[1:-1] if body.startswith("(") and body.endswith(")") else body
    if not 1 <= coats <= _MOST_COATS:
        raise InputError(
            say("found {coats} coats in {text!r}, expected 1 to {most}", coats=coats, text=text, most=_MOST_COATS)
        )
    return Layer(typed_mix(body, text), coats)


def _coats_and_mix(text: str) -> tuple[int, str]:
    head, tail = _COATS.match(text), _COATS_AFTER.search(text)
    body = text[head.end() if head else 0 : None if head or not tail else tail.start()].strip()
    found = head or tail
    return int(found.group(1)) if found else 1, body


def written(layers: Sequence[PaintedLayer]) -> str:
    """The layers of a move as they are written into a field."""
    liquid = any(one.liquid for one in layers)
    return painted_text(layers, liquid=liquid)
