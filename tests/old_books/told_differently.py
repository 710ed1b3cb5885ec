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


TOLD_DIFFERENTLY: tuple[ToldDifferently, ...] = ()
