"""What messages call the stages of a piece and what happened to it."""

from __future__ import annotations

from stainbook.book.case_state import CaseState
from stainbook.language import say, say_as

_STAGES = {
    "trial": say("trial"),
    "sintered": say("sintered"),
    "blasted": say("blasted"),
    "stained": say("stained"),
    "glazed": say("glazed"),
    "bonded": say("bonded"),
    "delivered": say("delivered"),
    "returned": say("returned"),
}
_STEPS = {
    "opened": say_as("of a case", "opened"),
    "stated": say_as("of a piece's stage", "stated"),
    "prescribed": say("prescribed"),
    "chosen": say("chosen"),
    "read": say_as("of a zone's colour", "read"),
    "milled": say("milled"),
    "coloured": say("coloured"),
    "dried": say("dried"),
    "painted": say("painted"),
    "fired": say("fired"),
    "ground": say_as("of a face", "ground"),
    "polished": say("polished"),
    "cleaned": say("cleaned"),
    "stripped": say("stripped"),
    "try-in": say("try-in"),
    "back": say_as("from the clinic", "back"),
    "accepted": say("accepted"),
    **_STAGES,
}
_FIRINGS = {
    "stain": say("stain"),
    "glaze": say("glaze"),
    "stain+glaze": say("stain and glaze"),
    "correction": say("correction"),
    "layering": say("layering"),
    "foundation": say("foundation"),
    "after-grinding": say("after-grinding"),
    "resin": say("resin"),
    "sinter": say("sinter"),
}


def step_words(what: str) -> str:
    """A step as messages have it.

    >>> step_words("milled")
    'milled'
    """
    return _STEPS.get(what, what)


def firing_words(kind: str) -> str:
    """A kind of firing as messages have it.

    >>> firing_words("stain+glaze")
    'stain and glaze'
    """
    return _FIRINGS.get(kind, kind)


def stage_words(state: CaseState) -> str:
    """Give the stage as screens have it: unsintered, coloured, dried …

    >>> from stainbook.book.fold import fold
    >>> stage_words(fold(book.events("W-7")))
    'sintered'
    """
    if state.stage == "green":
        words = say("coloured, unsintered") if state.coloured else say("unsintered")
        return say("{words} and dried", words=words) if state.dried else words
    return _STAGES.get(state.stage, state.stage) if state.stage else say("at no stage yet")
