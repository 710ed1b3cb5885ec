"""Records of a case whose teeth were noticed to be other ones: the same facts and wishes under the right numbers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import reduce
from typing import Any

from stainbook.book.entries import Entered
from stainbook.kept import Decision, Outcome, Painted, PaintedZone, Photo, StepDone
from stainbook.records import Case, CaseZone, Reading, SampleRef

Key = tuple[int, str]


@dataclass(frozen=True, slots=True)
class TeethRenamed:
    """Which teeth of a case are called otherwise, old number to new; ``words`` are its zones, as samples name them."""

    case: str
    teeth: Mapping[int, int]
    words: frozenset[str]

    def key(self, key: Key) -> Key:
        """A zone under the right number.

        >>> TeethRenamed("W-7", {11: 21}, frozenset({"middle"})).key((11, "middle"))
        (21, 'middle')
        """
        return self.teeth.get(key[0], key[0]), key[1]

    def sample(self, name: str) -> str:
        """A sample's name, where it is that of one of the zones.

        >>> TeethRenamed("W-7", {11: 21}, frozenset({"middle"})).sample("W-7-11-middle")
        'W-7-21-middle'
        """
        for old, new in self.teeth.items():
            word = name.removeprefix(f"{self.case}-{old}-")
            if word != name and word in self.words:
                return f"{self.case}-{new}-{word}"
        return name

    def record(self, record: Any) -> Any:
        """A record under the right numbers; one that names none of the teeth is the same.

        >>> TeethRenamed("W-7", {11: 21}, frozenset({"middle"})).record(reading).sample
        'W-7-21-middle'
        """
        if isinstance(record, Case):
            zones = tuple(map(self._zone, record.zones))
            drawn = (replace(one, tooth=self.teeth.get(one.tooth, one.tooth)) for one in record.effects)
            return replace(record, zones=zones, effects=tuple(drawn))
        if isinstance(record, Reading):
            return replace(record, sample=self.sample(record.sample))
        if isinstance(record, Outcome):
            record = replace(record, before=self._read(record.before), after=self._read(record.after))
        if isinstance(record, Outcome | Decision):
            return replace(record, tooth=self.teeth.get(record.tooth, record.tooth))
        if isinstance(record, Painted):
            return replace(record, zones=tuple(map(self._painted, record.zones)))
        if isinstance(record, StepDone):
            done = tuple(map(self.key, record.zones))
            fired = tuple((*self.key((tooth, zone)), times) for tooth, zone, times in record.fired)
            return replace(record, zones=done, painted=tuple(map(self._painted, record.painted)), fired=fired)
        if isinstance(record, Photo):
            return replace(record, zones=tuple((*self.key((tooth, zone)), line) for tooth, zone, line in record.zones))
        return record

    def _zone(self, zone: CaseZone) -> CaseZone:
        target = zone.target
        if target is not None:
            target = replace(target, colour=self._ref(target.colour))
        like = self.key(zone.like) if zone.like is not None else None
        tooth = self.teeth.get(zone.tooth, zone.tooth)
        return replace(zone, tooth=tooth, now=self._ref(zone.now), target=target, like=like)

    def _ref(self, ref: Any) -> Any:
        own = isinstance(ref, SampleRef) and ref.file is None
        return replace(ref, sample=self.sample(ref.sample)) if own else ref

    def _read(self, reading: Reading | None) -> Reading | None:
        return None if reading is None else replace(reading, sample=self.sample(reading.sample))

    def _painted(self, zone: PaintedZone) -> PaintedZone:
        return replace(zone, tooth=self.teeth.get(zone.tooth, zone.tooth))


def of_case(case: Case, teeth: Mapping[int, int]) -> TeethRenamed:
    """Which teeth of a case are called otherwise.

    >>> of_case(crown, {11: 21}).words
    frozenset({'middle'})
    """
    return TeethRenamed(case.case, teeth, frozenset(zone.zone for zone in case.zones))


def renaming(before: Case, after: Case) -> dict[int, int]:
    """Which teeth are called otherwise in another revision that differs by nothing else of its zones; else none.

    >>> renaming(crown, of_case(crown, {11: 21}).record(crown)), renaming(crown, crown)
    ({11: 21}, {})
    """
    pairs = [(one.tooth, other.tooth) for one, other in zip(before.zones, after.zones, strict=False)]
    teeth = {old: new for old, new in pairs if old != new}
    if not teeth or len(before.zones) != len(after.zones):
        return {}
    return teeth if of_case(before, teeth).record(before).zones == after.zones else {}


def as_called_now(cases: Sequence[Entered]) -> tuple[Entered, ...]:
    """Give the rows of a case with its teeth as they are called by the newest: one that renames is of those before it.

    >>> rows = [Entered(1, "case", "W-7", 1, "", "", "", "", crown)]
    >>> as_called_now(rows)[0].record.zones[0].tooth
    11
    """
    words = frozenset(zone.zone for row in cases for zone in row.record.zones)
    found: list[Entered] = []
    later: list[TeethRenamed] = []
    for row in reversed(cases):
        case = reduce(lambda one, then: then.record(one), reversed(later), replace(row.record, renamed=None))
        found.append(replace(row, record=case))
        if row.record.renamed:
            later.append(TeethRenamed(case.case, dict(row.record.renamed), words))
    return tuple(reversed(found))
