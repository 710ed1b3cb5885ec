"""What the present program tells of an old book otherwise than the one that made it, on purpose, each by name and why.

Only what is listed here may differ, and what is listed must differ: a line whose difference is gone fails too.
Patterns are those of ``fnmatch`` (``*`` for anything); a path is that of a place in the answer, such as
``told.zones[0].next_step``, ``status``, or ``told.things.length`` where a list has got another length.
"""

from __future__ import annotations

from dataclasses import dataclass
from fnmatch import fnmatchcase


@dataclass(frozen=True, slots=True)
class ToldDifferently:
    """One place, or places of one pattern, that may be told otherwise, and why that is right."""

    set: str
    command: str
    case: str
    path: str
    why: str

    def holds(self, name: str, command: str, case: str, path: str) -> bool:
        """Whether it is about this place."""
        return self.asks(name, command, case) and _fits(path, self.path)

    def asks(self, name: str, command: str, case: str) -> bool:
        """Whether it is about an answer to this."""
        return all(map(_fits, (name, command, case), (self.set, self.command, self.case)))


def _fits(found: str, pattern: str) -> bool:
    return fnmatchcase(found, pattern.replace("[", "[[]"))  # a bracket of a path is a bracket, not a set of letters


_FILE = "advice, sheets and reports of a file warn of the first difference where the book knows its case"
_STALE = "a reading of before the last firing stands for the present no more: wrong advice 1, 2, 9"
_WORDS = "sentences are made in one place: bench talk, mixes in brackets, liquids with their thinner"
_CAUTIONS = "each caution stands where it is needed"
_ERASED = "an erased case is on no list"
_NUMBERS = "no figure is told of fewer than 20 units; numbers open by stain and programme"
_LEARNT = "learnt again by the present rules; the same records, another last digit"

TOLD_DIFFERENTLY: tuple[ToldDifferently, ...] = (
    *(ToldDifferently("revision-3", command, "erased-*", "*", _ERASED) for command in ("book deliver", "book return")),
    ToldDifferently("revision-1", "advise", "*", "told.cases*.why", _WORDS),
    ToldDifferently(
        "revision-1", "advise", "*", "told.cases*.moves*.dE00*", "firings are taken to differ by 3 %, not 5"
    ),
    *(ToldDifferently("revision-1", "bench", "*", f"told.zones*.{key}", _WORDS) for key in ("step", "hue")),
    ToldDifferently("revision-1", "bench", "*", "told.cautions*", _CAUTIONS),
    ToldDifferently("revision-3", "bench", "*", "told.cautions*", _CAUTIONS),
    ToldDifferently("revision-3", "bench", "*", "told.zones*.hue", _WORDS),
    ToldDifferently("revision-3", "sheet", "*", "told.like*", "gum zones have their full names"),
    ToldDifferently("revision-3", "plan", "V-105", "told.pots.length", "what stain cannot reach is not painted"),
    *(
        ToldDifferently("revision-3", command, "*", f"told.warnings{place}", _FILE)
        for command, places in {
            "bench": ("*", ".length"),
            "sheet": (".length",),
            "advise": ("*", ".length"),
            "explain": (".length",),
            "report": (".length",),
        }.items()
        for place in places
    ),
    ToldDifferently(
        "revision-3", "bench", "*", "told.zones*.step", "one blank a piece: wrong advice 8; what is off is not left"
    ),
    ToldDifferently("revision-3", "bench", "V-123", "told.zones*.gap.u", _STALE),
    ToldDifferently("revision-3", "report --csv", "*", "told[*", _STALE),
    ToldDifferently("revision-3", "report", "*", "told.zones*", _STALE),
    ToldDifferently("revision-3", "report", "*", "told.counts*", _STALE),
    ToldDifferently(
        "revision-3", "book deliver", "*", "told", "only zones that were read bar a delivery: wrong advice 7, 9"
    ),
    ToldDifferently("revision-3", "book deliver", "V-111", "*", "a bonded piece is delivered, and judged before"),
    ToldDifferently("revision-3", "book return", "V-111", "*", "it was bonded and did not leave"),
    ToldDifferently("revision-3", "book deliver", "*", "told.warnings.length", "the finish is asked for"),
    ToldDifferently("revision-3", "advise", "*", "told.cases*", _LEARNT),
    ToldDifferently("revision-3", "plan", "*", "told.zones*", _LEARNT),
    ToldDifferently("revision-3", "plan", "*", "told.within_reach", "of no zone nothing is told: wrong advice 4"),
    ToldDifferently("revision-3", "plan", "*", "told.unlimited", "of no zone nothing is told: wrong advice 4"),
    ToldDifferently("revision-3", "explain", "*", "told.*", _LEARNT),
    ToldDifferently("revision-1", "predict", "*", "told.recipes*", "one predictor draws the doubt: the fourth digit"),
    *(
        ToldDifferently(name, "book list", "", path, _ERASED)
        for name in ("revision-2", "revision-3", "exchange", "postgresql")
        for path in ("told.counts.case", "told.things*")
    ),
    *(
        ToldDifferently(name, "book numbers", "", "told.rows*", _NUMBERS)
        for name in ("revision-2", "revision-3", "exchange", "postgresql")
    ),
    *(ToldDifferently(name, "book show", "erased-*", "", _ERASED) for name in ("revision-2", "revision-3")),
)
