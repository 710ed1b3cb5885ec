"""The state signs as SVG, drawn rather than typed so that they are the same in every font."""

from __future__ import annotations

from stainbook.words import states
from stainbook.words.states import State

_INSIDE = {
    states.NO_DIFFERENCE: '<circle r="1" class="solid"/>',
    states.IN_TOLERANCE: '<circle r="1" class="hollow"/><path d="M0,-1A1,1 0 0 0 0,1Z" class="solid"/>',
    states.OUT_OF_TOLERANCE: '<circle r="1" class="hollow"/>',
    states.NOT_REACHED: '<path d="M-0.85,-0.85L0.85,0.85M0.85,-0.85L-0.85,0.85" class="line"/>',
    states.BY_EYE: '<path d="M-0.9,0.2Q-0.45,-0.6 0,0T0.9,-0.2" class="line"/>',
    states.NOT_READ: '<path d="M-0.8,0L0.8,0" class="line"/>',
    states.CANNOT_TELL: (
        '<path d="M-0.55,-0.5A0.55,0.5 0 1 1 0.15,0.05Q0,0.15 0,0.4" class="line"/>'
        '<circle cy="0.85" r="0.15" class="solid"/>'
    ),
}


def sign(state: State, at: tuple[float, float], radius: float) -> str:
    """The sign of a state around a point, in the units of the drawing."""
    return (
        f'<g class="sign" transform="translate({at[0]:.2f},{at[1]:.2f}) scale({radius:.3f})">{_INSIDE[state.known]}</g>'
    )


def inline_sign(state: State) -> str:
    """The sign as a picture in a line of text; the word stands beside it."""
    return f'<svg class="inline-sign" viewBox="-1.4 -1.4 2.8 2.8" aria-hidden="true">{_INSIDE[state.known]}</svg>'
