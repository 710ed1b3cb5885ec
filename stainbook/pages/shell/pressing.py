"""What came of a press is said at the button that was pressed, and is brought into sight.

``if pressed(label): …`` draws a button; until the page is drawn anew, `tell` writes directly under it, from whichever
part of the page. What shall be said once the page was drawn anew goes through `tell_then`: under the same button where
it is still there, else at the top of the page.
"""

from __future__ import annotations

from collections.abc import Callable
from contextvars import ContextVar
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import streamlit as st

from stainbook.pages.shell import case_source
from stainbook.permit import READER, TECHNICIAN, refusal

_WIDTH = 460  # px of a message at most: in a row of buttons it stands beside its own
_HERE = Path(__file__).parent
_THEN = "told_then"  # in the session: what to say once the page was drawn anew, and at which button
_VISIT = "told_then_visit"  # of the page that is drawn


@dataclass
class _Cause:
    """The button that was pressed, by its key, the place under it, and whether that was brought into sight."""

    at: str
    place: Any
    seen: bool = False


_CAUSE: ContextVar[_Cause | None] = ContextVar("cause", default=None)


@cache
def _component() -> Callable[..., Any]:
    return st.components.v2.component(
        "stainbook_in_sight",
        html="<span></span>",
        css="span { display: block; height: 1px; }",
        js=(_HERE / "pressing.js").read_text(encoding="utf-8"),
    )


def writing_button(label: str, *, place: Any = None, needs: str = TECHNICIAN, **look: Any) -> bool:
    """A button that changes what the lab keeps: grey, with the reason, for who may not.

    place : where it stands, None for here; needs : the role for it; look : further options of ``st.button``
    """
    return bool((st if place is None else place).button(label, **{**look, **shut(needs)}))


def shut(needs: str = TECHNICIAN) -> dict[str, Any]:
    """The options that grey a button, with the reason, for who has not the role for it."""
    permit = case_source.permit()
    if permit is None or permit.allows(needs):
        return {}
    return {"disabled": True, "help": refusal(permit.role)}


def pressed(
    label: str,
    *,
    place: Any = None,
    key: str | None = None,
    looks: bool = False,
    needs: str = TECHNICIAN,
    began: bool = False,
    **look: Any,
) -> bool:
    """A button; what its press leads to is said directly under it.

    place : where it stands, None for here; key : where its label may change; looks : it changes nothing that the lab
    keeps, else it is grey for who may not; needs : the role for it; began : what an earlier press began is not taken up
    yet, so that what is said of it belongs here too; look : further options of ``st.button``
    """
    where, name = st if place is None else place, key or str(label)
    found = writing_button(label, place=place, needs=READER if looks else needs, key=key, **look)
    then = st.session_state.get(_THEN)
    if found:
        st.session_state.pop(_THEN, None)
        _CAUSE.set(_Cause(name, where.container(width=_WIDTH)))
    elif began:
        _CAUSE.set(_Cause(name, where.container(width=_WIDTH)))
    elif then and then["at"] == name:
        _well(where.container(width=_WIDTH), then)
    return found


def pressed_here_too(label: str, *, place: Any, key: str, disabled: bool = False) -> bool:
    """The one thing to press of a page, at its head; below its fields too on a screen where the head scrolls away."""
    at_head = pressed(label, place=place, key=key, type="primary", disabled=disabled)
    with st.container(key=f"narrow_{key.replace(' ', '_')}"):
        return pressed(label, key=f"{key} below", type="primary", disabled=disabled, width="stretch") or at_head


def tell(message: str) -> None:
    """Say what went wrong under the button that was pressed; here where none was."""
    with under_the_press():
        st.warning(message)
    cause = _CAUSE.get()
    if cause and not cause.seen:
        cause.seen = True
        _bring_into_sight(cause.place, message, "told")


def under_the_press() -> Any:
    """What stands under the button that was pressed, for more than a message; here where none was pressed."""
    cause = _CAUSE.get()
    return cause.place if cause else st.container()


def tell_then(message: str) -> None:
    """Say what went well once the page was drawn anew, until the next press."""
    cause = _CAUSE.get()
    st.session_state[_THEN] = {"at": cause.at if cause else "", "message": message, "shown": False}


class Telling:
    """One drawing of a page: nothing was pressed yet, and what has lost its button is said at the top.

    visit : of the page; what was said on one is not said on the next
    """

    def __init__(self, visit: int = 0) -> None:
        _CAUSE.set(None)
        st.session_state[_VISIT] = visit
        then = st.session_state.get(_THEN)
        if then and then.get("on", visit) != visit:  # it was said on the page of before
            then = st.session_state[_THEN] = None
        if then:
            then["shown"] = False
        self._top = st.container() if then else None

    def end(self) -> None:
        """Say at the top what no button of this page took."""
        then = st.session_state.get(_THEN)
        if self._top is not None and then and not then["shown"]:
            _well(self._top, then)


def _well(place: Any, then: dict[str, Any]) -> None:
    then |= {"shown": True, "on": st.session_state.get(_VISIT, 0)}
    place.success(then["message"])
    _bring_into_sight(place, then["message"], "then")


def _bring_into_sight(place: Any, message: str, key: str) -> None:
    with place:
        _component()(data={"told": str(message)}, key=f"in sight {key}")
