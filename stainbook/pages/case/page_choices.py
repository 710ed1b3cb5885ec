"""What the user has chosen on the case page, kept in one session key of its own so that no page switch loses it."""

from __future__ import annotations

from dataclasses import dataclass, field

import streamlit as st

_KEY = "case_page_choices"
ZoneKey = tuple[int, str]


@dataclass
class HandLayer:
    """A layer of the mix by hand: shares by stain, and coats."""

    shares: dict[str, float] = field(default_factory=dict)
    coats: int = 1


@dataclass
class CaseChoices:
    """What is chosen within one case."""

    zone: ZoneKey | None = None  # the one that is shown
    also: list[ZoneKey] = field(default_factory=list)  # chosen beside it
    more: bool = False  # a tap adds a zone to the choice
    mix: list[HandLayer] | None = None  # the mix by hand, bottom first; None while none is looked at
    mixes: int = 4  # of the plan

    @property
    def zones(self) -> list[ZoneKey]:
        """All chosen zones, the one that is shown first."""
        return [self.zone, *self.also] if self.zone else []


@dataclass
class PageChoices:
    """What is chosen on the page."""

    case: str | None = None  # code of the case file
    fill: str = "now"
    cases: dict[str, CaseChoices] = field(default_factory=dict)

    @property
    def here(self) -> CaseChoices:
        """The choices within the case that is shown."""
        return self.cases.setdefault(self.case or "", CaseChoices())


def choices() -> PageChoices:
    """The choices of this session."""
    found: PageChoices = st.session_state.setdefault(_KEY, PageChoices())
    return found
