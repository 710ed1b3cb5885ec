"""Steps under each light of a case, as rows: the piece as read and as expected beside its target, what is missing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from stainbook.language import joined, say
from stainbook.words.chances import chance, expected_in_tolerance
from stainbook.words.figures import tenths
from stainbook.words.light_names import light
from stainbook.words.places import place
from stainbook.work.documents.document_parts import ColourResult
from stainbook.work.documents.plan_schemas import UnderLight

_METAMERISM = say("metamerism")
HEADS = (
    say("zone"), say("light"), say("now"), say("expected"), say("target"), "ΔE00", say("chance"), _METAMERISM,
)  # fmt: skip
NUMBERS = ("ΔE00", _METAMERISM)
_NOT_TOLD = say("only spectra tell")

Key = tuple[int, str]


def light_rows(lights: Mapping[Key, Sequence[UnderLight]]) -> list[tuple[str, ...]]:
    """A row a zone and light, with L*, a*, b* in it; none where the case names no light."""
    return [(place(*key), *_row(one)) for key, seen in lights.items() for one in seen]


def _row(one: UnderLight) -> tuple[str, ...]:
    if one.dE00 is None or one.accept is None:
        return (light(one.illuminant), "", "", "", "", _NOT_TOLD, "")
    strip = (_numbers(one.now), _numbers(one.expected), _numbers(one.target))
    return (light(one.illuminant), *strip, tenths(one.dE00), chance(one.accept), tenths(one.metamerism or 0.0))


def _numbers(colour: ColourResult | None) -> str:
    return joined(map(tenths, (colour.L, colour.a, colour.b)), " ") if colour is not None else ""


def piece_in_lights(lights: Mapping[Key, Sequence[UnderLight]]) -> Iterator[str]:
    """The whole piece in each light, in a line: ``lamp light (CIE A): 41 of 48 zones expected in tolerance``."""
    counted: dict[str, list[float]] = {}
    for one in (one for seen in lights.values() for one in seen if one.accept is not None):
        counted.setdefault(one.illuminant, []).append(one.accept or 0.0)
    for illuminant, chances in counted.items():
        yield joined([light(illuminant), expected_in_tolerance(sum(chances), len(chances))], ": ")
