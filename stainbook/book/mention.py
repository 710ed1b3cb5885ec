"""Where text names a case, and what stands there once the case is erased.

A code counts as a whole token: letters and digits end it, and the longer code of another case that holds it is not it.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from dataclasses import dataclass, field
from typing import Any

from stainbook.records import GUM_ZONES, STAGES, TOOTH_ZONES

# what a note or another free text is kept under, of whatever kind of record
FREE = frozenset({"note", "notes", "why", "clinic", "method", "taken_with", "place", "text"})
_WORDS = (*TOOTH_ZONES, *GUM_ZONES, *STAGES, "patient", "piece", "painted", "before", "after", "ideal")
_NUMBERED = (r"\d\d", r"f\d{1,2}", r"\d{4}-\d\d-\d\dT[\d:.]+(?:Z|[+-]\d\d:\d\d)")  # tooth, firing, time
_ODD = re.compile(r"[^A-Za-z0-9_-]+")


def spellings(code: str) -> tuple[str, ...]:
    """A code as it is and as file names have it."""
    written = (_ODD.sub("_", code).strip("_"), re.sub(r"[^A-Za-z0-9._-]+", "-", code).strip(".-"))
    return tuple(dict.fromkeys((code, *(one for one in written if len(one) > 2))))


@dataclass(slots=True)
class Mention:
    """Finds the code of a case and puts a name that says nothing in its place, the same for the same text.

    others : codes of the lab's other cases. words : zones of its own, that may follow the code in a sample's name.
    """

    code: str
    tombstone: str
    others: Collection[str] = ()
    words: Iterable[str] = ()
    _names: dict[str, str] = field(default_factory=dict)
    _token: re.Pattern[str] = field(init=False)
    _known: re.Pattern[str] = field(init=False)

    def __post_init__(self) -> None:
        own = spellings(self.code)
        longer = sorted((one for one in self.others if self.code in one and one != self.code), key=len, reverse=True)
        parts = [*map(re.escape, longer), f"({'|'.join(map(re.escape, own))})"]
        self._token = re.compile(rf"(?<![^\W_])(?:{'|'.join(parts)})(?![^\W_])")
        words = "|".join((*_NUMBERED, *map(re.escape, {*_WORDS, *self.words})))
        self._known = re.compile(rf"(?:[- ](?:{words}))*")

    def is_in(self, text: str) -> bool:
        """Whether a text names the case."""
        return any(found[1] for found in self._token.finditer(text))

    def out_of(self, text: str) -> str:
        """A free text without the sentences that name the case: they may say more of it than its code."""
        said = re.split(r"((?<=[.;!?\n])\s*)", text)
        return "".join(self.tombstone if self.is_in(one) else one for one in said)

    def name(self, text: str) -> str:
        """A name without the code: what else is known of it may stay, such as tooth and zone, all other words go."""
        if not self.is_in(text):
            return text
        if text.startswith(self.code) and self._known.fullmatch(text, len(self.code)):
            return self.tombstone + text[len(self.code) :]
        return self._names.setdefault(text, f"{self.tombstone}-n{len(self._names) + 1}")

    def out_of_all(self, value: Any, key: str = "") -> Any:
        """Plain values, as JSON holds them, without the code; keys of mappings too."""
        if isinstance(value, dict):
            return {self.name(one): self.out_of_all(inner, one) for one, inner in value.items()}
        if isinstance(value, list):
            return [self.out_of_all(inner, key) for inner in value]
        if not isinstance(value, str):
            return value
        return self.out_of(value) if key in FREE else self.name(value)


def without_free_text(value: Any) -> Any:
    """Plain values without what people wrote freely."""
    if isinstance(value, dict):
        return {key: without_free_text(inner) for key, inner in value.items() if key not in FREE}
    return [without_free_text(inner) for inner in value] if isinstance(value, list) else value
