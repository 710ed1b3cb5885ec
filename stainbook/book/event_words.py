"""What messages call the state of a piece."""

from __future__ import annotations

from stainbook.book.case_state import CaseState
from stainbook.language import say
from stainbook.stage_words import stage_name


def stage_words(state: CaseState) -> str:
    """Give the stage as screens have it: unsintered, coloured, dried …

    >>> from stainbook.book.fold import fold
    >>> stage_words(fold(book.events("W-7")))
    'sintered'
    """
    if state.stage == "green":
        words = say("coloured, unsintered") if state.coloured else say("unsintered")
        return say("{words} and dried", words=words) if state.dried else words
    return stage_name(state.stage) if state.stage else say("at no stage yet")
