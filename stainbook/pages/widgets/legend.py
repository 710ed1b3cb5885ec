"""What signs, greys and marks mean, in one line each."""

from __future__ import annotations

from collections.abc import Sequence

from stainbook.language import joined
from stainbook.pages.case import case_texts as words
from stainbook.pages.shell import texts
from stainbook.pages.widgets.signs import inline_sign
from stainbook.words.escaping import escape
from stainbook.words.states import MEANS, STATES

_MARKS = {
    "now": '<circle cx="8" cy="8" r="5" class="solid"/><path class="mark" d="M16,8H40"/>',
    "predicted": ('<circle cx="8" cy="8" r="5" class="mark"/><path class="mark" stroke-dasharray="6 4" d="M16,8H40"/>'),
    "target": (
        '<path class="solid" d="M6,3h4v3h3v4h-3v3h-4v-3h-3v-4h3z"/>'
        '<path class="mark" stroke-dasharray="1.5 3" d="M16,8H40"/>'
    ),
    "visible": '<ellipse cx="20" cy="8" rx="14" ry="6" class="mark"/>',
    "tolerance": '<ellipse cx="20" cy="8" rx="14" ry="6" class="mark" stroke-dasharray="5 4"/>',
}
_DOUBT = {
    "doubt": (
        '<ellipse cx="20" cy="8" rx="14" ry="6" fill="currentColor" fill-opacity="0.15" stroke="currentColor" '
        'stroke-dasharray="1.5 2.5"/>'
    )
}
_FIRED = {
    "fired": '<circle cx="20" cy="8" r="3" class="solid"/>',
    "awaited": '<circle cx="20" cy="8" r="3" class="mark"/>',
}


def states_legend() -> str:
    """Signs, words and their meaning."""
    return (
        '<ul class="legend">'
        + "".join(
            f"<li>{inline_sign(state)} <b>{escape(state.word)}</b> {escape(MEANS[state.word])}</li>" for state in STATES
        )
        + "</ul>"
    )


def fill_legend(ramp: Sequence[str]) -> str:
    """The greys of the difference ramp and the thresholds between them."""
    steps = "".join(
        f'<li><i style="background:{grey}"></i>{escape(word)}</li>'
        for grey, word in zip(ramp, texts.STEPS_OF_RAMP, strict=True)
    )
    return f'<p class="legend-title">{escape(texts.RAMP_TITLE)}</p><ul class="legend ramp">{steps}</ul>'


def plot_legend(*, fired: bool = False, doubt: bool = False) -> str:
    """The marks of the plots; those of the way through the firings and of the doubt where they are drawn."""
    marks = {**_MARKS, **(_DOUBT if doubt else {}), **(_FIRED if fired else {})}
    said = {
        "now": joined([texts.NOW, texts.MEASURED]),
        "predicted": joined([texts.PREDICTED, texts.EXPECTED_COLOUR]),
        "target": texts.TARGET,
        "visible": texts.PERCEPTIBLE,
        "tolerance": texts.ACCEPTABLE,
        "doubt": words.DOUBT,
        "fired": words.FIRED_BEFORE,
        "awaited": words.EXPECTED_BEFORE,
    }
    return (
        '<ul class="legend">'
        + "".join(
            f'<li><svg width="42" height="16" aria-hidden="true">{mark}</svg> {escape(said[name])}</li>'
            for name, mark in marks.items()
        )
        + "</ul>"
    )
