"""Which jar of each stain is meant: the newest that is in work, never one that ran out.

A jar that nobody entered counts as in work, since nobody said that it ran out.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from stainbook.apparatus import Jar
from stainbook.book import Book
from stainbook.language import say
from stainbook.records import CLEAR
from stainbook.work.stains.learnt import Known
from stainbook.work.stains.outcome_learning import known_of

Pair = tuple[str, str]  # stain and lot


@dataclass(frozen=True, slots=True)
class JarsInWork:
    """Jars as the lab has them.

    ``meant`` is the jar of each stain where nobody names one, ``newest`` the newest one that is in work, ``ran_out``
    the day of each that is empty; of ``gone`` stains every jar is.
    """

    meant: Mapping[str, str] = field(default_factory=dict)
    newest: Mapping[str, str] = field(default_factory=dict)
    ran_out: Mapping[Pair, str] = field(default_factory=dict)
    gone: frozenset[str] = frozenset()

    def instead_of(self, named: Mapping[str, str], *, on: str | None = None) -> dict[str, str]:
        """The jars of some stains, the one in work for each that ran out; of gone stains the one that is named.

        on : the day that is asked for (ISO 8601), by default today; a jar that ran out on it was still there
        """
        return {
            stain: lot if self._is_there(stain, lot, on) or stain in self.gone else self.newest[stain]
            for stain, lot in named.items()
        }

    def _is_there(self, stain: str, lot: str, on: str | None) -> bool:
        day = self.ran_out.get((stain, lot))
        return day is None or (on is not None and on[:10] <= day)

    def told(self, stains: Iterable[str], named: Mapping[str, str]) -> Iterator[str]:
        """What is to be known of the jars of some stains before they are painted; ``named`` are the case's."""
        for stain in sorted({*stains, CLEAR}):
            lot = named.get(stain, "")
            if stain in self.gone:
                yield (
                    say("every jar of {stain} ran out: no step takes it until a new jar is entered", stain=stain)
                    if stain != CLEAR
                    else say("every jar of clear ran out: enter a new one before anything is mixed")
                )
            elif (stain, lot) in self.ran_out:
                yield say(
                    "the jar {stain}: {lot} ran out on {day}; {other} is meant",
                    stain=stain,
                    lot=lot,
                    day=self.ran_out[stain, lot],
                    other=self.newest[stain],
                )


def seen_lots(book: Book, known: Known | None = None) -> tuple[Pair, ...]:
    """Stain and lot of the jars that work names: stains, stripes, firings that were learnt from."""
    listed = [(one.name, one.lot) for one in book.stains().values() if one.lot]
    chips = [pair for chip in book.chips() for layer in chip.layers for pair in layer.lots]
    factors = (known or _learnt(book)).factors
    fired = [(stain, name) for what, name, stain in factors if what == "lot" and stain is not None]
    return tuple(dict.fromkeys([*listed, *chips, *fired]))


def jars_in_work(book: Book, known: Known | None = None) -> JarsInWork:
    """The jars of a book as they are today; ``known`` is what was learnt, where somebody has it already."""
    known = known or _learnt(book)
    seen = seen_lots(book, known)
    entered = {(one.stain, one.lot): one for one in book.jars()}
    ran_out = {pair: one.run_out_on for pair, one in entered.items() if one.run_out_on is not None}
    last = {**dict(seen), **known.newest_lots}
    full: dict[str, list[str]] = {}
    every = dict.fromkeys([*seen, *last.items(), *entered])
    for stain, lot in sorted(every, key=lambda pair: _opened(entered.get(pair))):  # stable: as it was told
        if (stain, lot) not in ran_out:
            full.setdefault(stain, []).append(lot)
    newest = {stain: lots[-1] for stain, lots in full.items()}
    empty = {stain for stain, lot in ran_out if last.get(stain, lot) == lot}  # the jar that was meant
    meant = {**last, **{stain: newest[stain] for stain in empty if stain in newest}}
    return JarsInWork(meant, newest, ran_out, frozenset({stain for stain, _ in ran_out} - full.keys()))


def _opened(jar: Jar | None) -> str:
    return (jar.opened_on if jar is not None else None) or ""


def _learnt(book: Book) -> Known:
    found = known_of(book)
    return found[1] if found is not None else Known()
