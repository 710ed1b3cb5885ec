"""The jars that a case uses: chosen from those known; a new one is confirmed before it is stored."""

from __future__ import annotations

from dataclasses import dataclass

import streamlit as st

from stainbook.apparatus import Jar
from stainbook.language import joined
from stainbook.pages.lab import jars_texts as words
from stainbook.pages.shell import case_source
from stainbook.pages.shell.page_frame import keeping


@dataclass(frozen=True, slots=True)
class ChosenJars:
    """The jars as they are written, and those of them that are new; ``sure``: somebody said that the new ones are."""

    lots: str
    new: tuple[str, ...] = ()
    sure: bool = True

    def enter(self) -> None:
        """Enter the new jars of stains that the lab has."""
        jars = case_source.lab().stains.jars
        known = {one.name for one in case_source.lab().stains.rows()}
        for one in self.new:
            stain, lot = _parts(one)
            if stain in known:
                jars.keep(Jar(stain, lot))


def jars_field(now: str, end: str) -> ChosenJars:
    """Choose from the jars that the book knows, or type a new one; ``end`` ends the names of the fields."""
    jars = case_source.lab().stains.jars
    used = [line for line in now.splitlines() if line.strip()]
    known = [f"{stain}: {lot}" for stain, lots in jars.known().items() for lot in lots]
    chosen = st.multiselect(
        words.IN_USE, list(dict.fromkeys([*used, *known])), help=words.IN_USE_HELP, accept_new_options=True,
        placeholder=words.IN_USE_NONE, **keeping(f"set jars {end}", used),
    )  # fmt: skip
    new = jars.unknown(_parts(one) for one in chosen if all(_parts(one)) and one not in used)
    sure = True
    if new:
        names = joined(new)
        sure = st.checkbox(words.CONFIRM.format(names=names), **keeping(f"sure jars {end} {names}", False))
    return ChosenJars("\n".join(chosen), tuple(new), sure)


def _parts(jar: str) -> tuple[str, str]:
    """Stain and lot of a jar as it is typed."""
    stain, _, lot = jar.partition(":")
    return stain.strip(), lot.strip()
