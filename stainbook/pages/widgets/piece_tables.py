"""Tables of a tab and a tooth: how far apart they are, and the tooth before its firing beside the tooth after it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from stainbook.faces.firing_types import PieceView
from stainbook.pages.shell import wording
from stainbook.pages.start import first_texts as words
from stainbook.pages.widgets.swatches import Patch, large
from stainbook.words.escaping import escape
from stainbook.words.places import place
from stainbook.work.documents.schemas import AdvisedZone

_Section = tuple[AdvisedZone, str, Sequence[Patch], Sequence[tuple[str, str]]]


def gap_markup(zones: Sequence[AdvisedZone]) -> str:
    """How far a tooth is from its tab, zone by zone: swatches that touch, and the difference in words."""
    return _sections(
        (one, "", (Patch(words.TAB_NAME, one.target), Patch(words.TOOTH_NAME, one.now)), [("", _sentence(one))])
        for one in zones
    )


def before_after_markup(view: PieceView) -> str:
    """Before, tab and after as swatches that touch, so that both differences from the tab stand on its edges."""
    return _sections(
        (
            before,
            view.painted.get((before.tooth, before.zone), ""),
            (
                Patch(words.BEFORE_NAME, before.now), Patch(words.TAB_NAME, before.target),
                Patch(words.AFTER_NAME, after.now),
            ),
            [(words.BEFORE_NAME, _sentence(before)), (words.AFTER_NAME, _sentence(after))],
        )
        for before, after in zip(view.before, view.after, strict=True)
    )  # fmt: skip


def _sections(zones: Iterable[_Section]) -> str:
    """A part a zone: its name, what was painted, its swatches, and what is said of them."""
    parts = []
    for one, painted, patches, told in zones:
        lines = "".join(f"<p>{f'<b>{escape(head)}</b> ' if head else ''}{escape(said)}</p>" for head, said in told)
        head = f"<h3>{escape(place(one.tooth, one.zone))}</h3>"
        layers = f"<p>{escape(painted)}</p>" if painted else ""
        parts.append(f"<section>{head}{layers}{large(patches)}{lines}</section>")
    return f'<div class="side-by-side">{"".join(parts)}</div>'


def _words(one: AdvisedZone) -> tuple[str, str, str, str]:
    if one.gap is None:
        return "–", "", "", ""
    return (
        wording.one_decimal(one.gap.dE00), wording.value(one.gap), wording.chroma(one.gap),
        wording.hue(one.gap, one.target),
    )  # fmt: skip


def _sentence(one: AdvisedZone) -> str:
    dE00, value, chroma, hue = _words(one)
    return words.FROM_TAB.format(dE00=dE00, in_value=value, in_chroma=chroma, in_hue=hue)
