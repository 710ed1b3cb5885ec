"""How a zone stands, as a word and a shape that needs no colour: one table for all pages and the PDF."""

from __future__ import annotations

from typing import NamedTuple

from stainbook.language import say, say_as


class State(NamedTuple):
    """A word, the shape that stands for it, and whether it is expected rather than read."""

    word: str
    shape: str
    expected: bool = False

    @property
    def said(self) -> str:
        """The word, with "expected" where nobody read it."""
        return say("{state}, expected", state=self.word) if self.expected else self.word

    @property
    def known(self) -> State:
        """The same, as if it had been read."""
        return self._replace(expected=False)


NO_DIFFERENCE = State(say("no visible difference"), "●")
IN_TOLERANCE = State(say("in tolerance"), "◐")
OUT_OF_TOLERANCE = State(say("out of tolerance"), "○")
NOT_REACHED = State(say("stain cannot reach it"), "✕")
CANNOT_TELL = State(say("cannot tell"), "?")
NOT_READ = State(say("not read"), "–")
BY_EYE = State(say_as("a zone that the eye decides on", "by eye"), "~")
STATES = (NO_DIFFERENCE, IN_TOLERANCE, CANNOT_TELL, OUT_OF_TOLERANCE, NOT_REACHED, BY_EYE, NOT_READ)
MEANS = {
    NO_DIFFERENCE.word: say("half of people see no difference, even with the doubt"),
    IN_TOLERANCE.word: say("within what is accepted, even with the doubt"),
    CANNOT_TELL.word: say("the doubt reaches over the threshold: read it again"),
    OUT_OF_TOLERANCE.word: say("outside of what is accepted, even with the doubt"),
    NOT_REACHED.word: say("no mix of the lab's stains brings it there"),
    BY_EYE.word: say("a translucent edge: the number is a hint, the eye decides"),
    NOT_READ.word: say("no reading or no target"),
}
TOLERANCE = {
    "within": say_as("in a column of tolerance", "in"),
    "cannot tell": CANNOT_TELL.word,
    "beyond": say_as("in a column of tolerance", "out"),
}
VISIBLE = {
    "imperceptible": say_as("whether a difference is visible", "no"),
    "cannot tell": CANNOT_TELL.word,
    "perceptible": say_as("whether a difference is visible", "yes"),
}
VERDICTS = {
    "stain": say("stain it"),
    "leave": say("nothing to do"),
    "out of reach": NOT_REACHED.word,
    "no firing": say("no firing"),
}


def state(
    grade: str | None,
    visibility: str | None = None,
    *,
    verdict: str | None = None,
    standing: str | None = "read",
    by_eye: bool = False,
) -> State:
    """The state of a zone, as the word and shape that all pages and the PDF show.

    Parameters
    ----------
    grade : ``within``, ``cannot tell`` or ``beyond`` the acceptability threshold, doubt included; None without a gap
    visibility : ``imperceptible``, ``cannot tell`` or ``perceptible``
    verdict : of the advice, where there is one
    standing : what the colour rests on: ``read``, ``like``, ``expected``, ``blank`` or ``unknown``
    by_eye : its number is a hint, the eye decides

    >>> state("within", "imperceptible").said
    'no visible difference'
    >>> state("beyond", verdict="stain", standing="expected").said
    'out of tolerance, expected'
    """
    found = BY_EYE if by_eye and grade is not None else _found(grade, visibility, verdict)
    return found._replace(expected=standing in ("expected", "blank") and found != NOT_READ)


def _found(grade: str | None, visibility: str | None, verdict: str | None) -> State:
    if grade is None:
        return NOT_READ
    if verdict == "out of reach":
        return NOT_REACHED
    if grade == "within":
        return NO_DIFFERENCE if visibility == "imperceptible" else IN_TOLERANCE
    return CANNOT_TELL if grade == "cannot tell" else OUT_OF_TOLERANCE
