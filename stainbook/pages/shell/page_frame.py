"""What all pages share: a failure is one sentence, and what is typed or chosen outlives a switch of pages."""

from __future__ import annotations

import logging
from collections.abc import Callable
from contextlib import nullcontext
from functools import wraps
from typing import Any, ParamSpec, TypeVar

import streamlit as st

from stainbook.clock import ahead_is_meant
from stainbook.errors import AheadError, InputError, StainbookError, UncalibratedError
from stainbook.inside import within
from stainbook.language import speak, speaking, spoken
from stainbook.notices import hearing
from stainbook.pages.shell import case_source, texts
from stainbook.pages.shell.help_parts import show_help
from stainbook.pages.shell.page_list import page_file
from stainbook.pages.shell.plain import plain
from stainbook.pages.shell.practice import show_practice
from stainbook.pages.shell.pressing import Telling, tell, tell_then, under_the_press
from stainbook.pages.widgets.touch import finger_targets

P = ParamSpec("P")
T = TypeVar("T")

_KEPT, _MEANT = case_source.KEPT, "ahead_is_meant"
LANGUAGE = "language"  # under which the choice of this browser session is kept


def show_page(title: str, draw: Callable[[], None], *, cannot: str, headed: bool = False) -> None:
    """Draw a page under its title; a failure is one sentence, never a traceback.

    cannot : the sentence for what was given, with ``{reason}`` in it
    headed : the page draws a head of its own, in which its title stands
    """
    speak_here()
    st.set_page_config(page_title=title, layout="wide")
    name = next((name for name, one in texts.PAGES.items() if one == title), "")
    if kept("page") != title:
        keep("page", title)
        keep("visit", visit() + 1)
    meant = ahead_is_meant() if kept(_MEANT, None) == visit() else nullcontext()
    show_practice(name)
    files = within(*case_source.lab().app.readable(case_source.folder()))  # and no other file of the machine
    if name in texts.BENCH_PAGES:
        finger_targets()
    if not headed:
        st.title(title, anchor=False)
    telling = Telling(visit())
    with files, hearing() as heard, meant:
        _drawn(name, draw, cannot)
    telling.end()
    for notice in heard:
        st.info(plain(notice))
    show_help(name)


def speak_here() -> None:
    """Speak the language of this browser session in the drawing that begins, else that of the process."""
    speak(kept(LANGUAGE) or None)


def fragment(draw: Callable[P, None], *, every: float | None = None) -> Callable[P, None]:
    """A part of a page that is drawn anew by itself, in the language of the session too."""

    @st.fragment(run_every=every)
    @wraps(draw)
    def drawn(*values: P.args, **named: P.kwargs) -> None:
        speak_here()
        draw(*values, **named)

    return drawn


def in_this_language(make: Callable[[], T]) -> Callable[[], T]:
    """What is made later, on its own, such as a file once it is asked for, in the language that is spoken now."""
    language = spoken()

    def made() -> T:
        with speaking(language):
            return make()

    return made


def _drawn(name: str, draw: Callable[[], None], cannot: str) -> None:
    try:
        with case_source.lab().look():  # what is newest in the book is asked once
            draw()
    except AheadError as error:
        _ahead(cannot.format(reason=error))
    except StainbookError as error:
        tell(cannot.format(reason=error))
        if isinstance(error, UncalibratedError):
            to_stripes()
    except Exception:  # the last frame before the browser: what nobody foresaw is logged here, and said there
        logging.getLogger(__name__).exception("the page %s failed", name)
        tell(texts.FAILED)


def do(act: Callable[[], object], *, cannot: str, done: str = "") -> None:
    """Do what was `pressed` and draw the page anew; where it cannot be done, say why under the button.

    cannot : with ``{reason}`` in it; done : said under the button, or at the top of the page, once it was done
    """
    try:
        act()
    except AheadError as error:
        _ahead(cannot.format(reason=error))
        return
    except InputError as error:
        tell(cannot.format(reason=error))
        return
    if done:
        tell_then(done)
    st.rerun()


def _ahead(message: str) -> None:
    tell(message)
    with under_the_press():
        ask_whether_meant()


def ask_whether_meant() -> None:
    """Ask whether a time to come is meant; who says so can do the step once more, on this visit of the page."""
    st.button(texts.AHEAD_IS_MEANT, on_click=keep, args=(_MEANT, visit()))


def go_to(page: str) -> None:
    """Open another page by its file's name."""
    st.switch_page(page_file(page.removesuffix("_page")))


def to_stripes() -> None:
    """Lead from what needs a stripe to where the first ones are made."""
    if st.button(texts.TO_STRIPES, key="to_stripes"):
        go_to("stripes_page")


def visit() -> int:
    """The number of the visit: another one each time that another page is opened."""
    found: int = kept("visit", 0)
    return found


def kept(key: str, default: Any = "") -> Any:
    """What was typed or chosen under a key, on whichever page one has been since."""
    return st.session_state.setdefault(_KEPT, {}).get(key, default)


def keep(key: str, value: Any) -> None:
    """Keep a value under a key for as long as the session lasts."""
    st.session_state.setdefault(_KEPT, {})[key] = value


def keeping(key: str, default: Any = "") -> dict[str, Any]:
    """The arguments that let a widget keep what is put into it: ``st.text_input(label, **keeping("code"))``.

    A widget forgets itself when another page is shown, so its value is kept apart and put back: each time, since a
    drawing that is broken off by the next one can lose what only the first had put there.
    """
    st.session_state[key] = kept(key, default)

    def take() -> None:
        keep(key, st.session_state[key])

    return {"key": key, "on_change": take}


def kept_keys(start: str) -> list[str]:
    """The keys that begin so, of what is kept and of the fields on the page."""
    return [key for key in {*st.session_state.get(_KEPT, {}), *map(str, st.session_state)} if key.startswith(start)]


def forget(key: str) -> None:
    """Empty a widget that keeps what is put into it."""
    st.session_state.setdefault(_KEPT, {}).pop(key, None)
    st.session_state.pop(key, None)
