"""What the user has chosen on the case page, kept in one session key of its own so that no page switch loses it."""

from __future__ import annotations

from dataclasses import dataclass, field

import streamlit as st

_KEY = "case_page_choices"
ZoneKey = tuple[int, str]


@dataclass
class CaseChoices:
    """What is chosen within one case."""

    zone: ZoneKey | None = None
    ranks: dict[ZoneKey, int] = field(default_factory=dict)  # of the chosen step, by zone


@dataclass
class Choices:
    """What is chosen on the page."""

    case: str | None = None  # path of the case file
    fill: str = "now"
    cases: dict[str, CaseChoices] = field(default_factory=dict)

    @property
    def here(self) -> CaseChoices:
        """The choices within the case that is shown."""
        return self.cases.setdefault(self.case or "", CaseChoices())


def choices() -> Choices:
    """The choices of this session."""
    found: Choices = st.session_state.setdefault(_KEY, Choices())
    return found
