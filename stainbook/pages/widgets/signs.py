"""The four state signs as SVG, drawn rather than typed so that they are the same in every font."""

from __future__ import annotations

from stainbook.faces.view_types import CLOSE, MET, NOT_READ, OFF, OUT_OF_REACH, State

_INSIDE = {
    MET: '<circle r="1" class="solid"/>',
    CLOSE: '<circle r="1" class="hollow"/><path d="M0,-1A1,1 0 0 0 0,1Z" class="solid"/>',
    OFF: '<circle r="1" class="hollow"/>',
    OUT_OF_REACH: '<path d="M-0.85,-0.85L0.85,0.85M0.85,-0.85L-0.85,0.85" class="line"/>',
    NOT_READ: '<path d="M-0.8,0L0.8,0" class="line"/>',
}


def sign(state: State, at: tuple[float, float], radius: float) -> str:
    """The sign of a state around a point, in the units of the drawing."""
    return f'<g class="sign" transform="translate({at[0]:.2f},{at[1]:.2f}) scale({radius:.3f})">{_INSIDE[state]}</g>'


def inline_sign(state: State) -> str:
    """The sign as a picture in a line of text; the word stands beside it."""
    return f'<svg class="inline-sign" viewBox="-1.4 -1.4 2.8 2.8" aria-hidden="true">{_INSIDE[state]}</svg>'
