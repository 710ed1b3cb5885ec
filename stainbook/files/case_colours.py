"""The colours that a case names: where a zone is now and where it must go."""

from __future__ import annotations

from functools import reduce
from pathlib import Path

from stainbook.errors import some_of
from stainbook.files.readings_csv import illuminant_name, observer_number, stage_word
from stainbook.files.yaml_nodes import Node
from stainbook.language import say
from stainbook.records import LIGHTEST, MOST_CHROMATIC, BodyRef, LabRef, NowRef, SampleRef, TabRef, Target, Viewing

_SAMPLE = ("file", "sample", "stage")
_LAB = ("L", "a", "b", "illuminant", "observer")
_BODY = ("body",)
_TAB = ("guide", "tab")
_NEEDED = {_SAMPLE: ("sample",), _LAB: ("L", "a", "b"), _BODY: _BODY, _TAB: _TAB}
_SHIFTS = ("L", "a", "b", "C", "h")
_FURTHEST = 360.0  # of a shift: degrees of hue, and beyond any difference of L*, a*, b*, C*


def read_now(node: Node, folder: Path, viewing: Viewing) -> NowRef:
    """Where a zone is: a sample, L*, a*, b*, or the body of a green piece; ``viewing`` is the default of L*, a*, b*."""
    keys = node.mapping((*_SAMPLE, *_LAB, *_BODY))
    form = _form(node, keys, (_SAMPLE, _LAB, _BODY))
    if form == _BODY:
        return BodyRef(keys["body"].text())
    return _lab(keys, viewing) if form == _LAB else _sample(keys, folder)


def read_target(node: Node, folder: Path, viewing: Viewing) -> Target:
    """Where a zone must go: a tab of the guide, a sample, or L*, a*, b*, each with an optional shift."""
    keys = node.mapping((*_TAB, *_SAMPLE, *_LAB, "shift"))
    form = _form(node, keys, (_TAB, _SAMPLE, _LAB))
    shift = read_shift(keys.get("shift"))
    if form == _TAB:
        return Target(TabRef(keys["guide"].text(), keys["tab"].text()), shift)
    return Target(_lab(keys, viewing) if form == _LAB else _sample(keys, folder), shift)


def read_shift(node: Node | None) -> tuple[tuple[str, float], ...]:
    """What is added to a target's L*, a*, b*, C* and h (degrees)."""
    if node is None:
        return ()
    keys = node.mapping(_SHIFTS)
    return tuple((name, keys[name].number(-_FURTHEST, _FURTHEST)) for name in _SHIFTS if name in keys)


def _form(node: Node, keys: dict[str, Node], forms: tuple[tuple[str, ...], ...]) -> tuple[str, ...]:
    """The one form whose keys a mapping holds."""
    found = [form for form in forms if any(name in keys for name in form)]
    if len(found) != 1:
        raise node.fail(some_of(keys) or say("no colour"), _choices(forms))
    missing = [name for name in _NEEDED[found[0]] if name not in keys]
    if missing:
        raise node.fail(say("no {key}", key=missing[0]), _choices(forms))
    return found[0]


def _choices(forms: tuple[tuple[str, ...], ...]) -> str:
    first, *others = ("{" + ", ".join(_NEEDED[form]) + "}" for form in forms)
    return reduce(lambda before, other: say("{before}, or {other}", before=before, other=other), others, first)


def _sample(keys: dict[str, Node], folder: Path) -> SampleRef:
    return SampleRef(
        sample=keys["sample"].text(),
        file=folder / keys["file"].text() if "file" in keys else None,
        stage=stage_word(keys["stage"].text()) if "stage" in keys else None,
    )


def _lab(keys: dict[str, Node], viewing: Viewing) -> LabRef:
    illuminant = illuminant_name(keys["illuminant"].text()) if "illuminant" in keys else viewing.illuminant
    observer: int | None = viewing.observer
    if "observer" in keys:
        observer = observer_number(keys["observer"].text())
        if observer is None:
            raise keys["observer"].fail(keys["observer"].kind, say("2 or 10"))
    lightness = keys["L"].number(0.0, LIGHTEST)
    a, b = (keys[name].number(-MOST_CHROMATIC, MOST_CHROMATIC) for name in ("a", "b"))
    return LabRef((lightness, a, b), Viewing(illuminant, observer or 0))
