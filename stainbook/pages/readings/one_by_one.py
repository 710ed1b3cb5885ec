"""Readings of a case typed one by one: stored with each Enter, corrected at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from stainbook.faces.firing_types import ZoneToRead
from stainbook.faces.reading_types import ExpectedReading, Light, Slip
from stainbook.pages.readings import one_by_one_texts as words
from stainbook.pages.readings.typing_parts import Typing
from stainbook.pages.shell import case_source, wording
from stainbook.pages.widgets.markup import pick
from stainbook.pages.widgets.reader import ReaderRow, TypedEntry
from stainbook.words.escaping import escape
from stainbook.words.places import place as place_name


@dataclass(frozen=True, slots=True)
class OneByOne:
    """Where readings are typed: ``key`` tells two such places apart.

    ``under`` is their light, ``film`` what lies over the face.
    """

    code: str
    key: str
    under: Light
    film: str | None = None

    def _typing(self, zones: Sequence[ZoneToRead] = ()) -> Typing:
        expected = {one.sample: one.expected for one in zones}

        def store(entry: TypedEntry, sure: bool, again: bool) -> Slip | None:
            measured = case_source.case(self.code).measured
            return measured.take(
                entry.key, entry.text, self.under, expected.get(entry.key), film=self.film, sure=sure, again=again
            ).slip

        return Typing(f"{self.key} {self.code}", store)

    def take(self, zones: Sequence[ZoneToRead]) -> None:
        """Store what was typed since the page was drawn last; to be called before anything is drawn from the book."""
        self._typing(zones).take([one.sample for one in zones])

    def show(self, zones: Sequence[ZoneToRead]) -> None:
        """The zone in large letters with its field; beneath it what waits for an answer."""
        self._typing(zones).show(
            [
                ReaderRow(
                    one.sample,
                    place_name(one.tooth, one.zone),
                    one.note or "",
                    _said(self._expected(one)),
                    _numbers(one.got),
                )
                for one in zones
            ]
        )

    def show_list(self, zones: Sequence[ZoneToRead], *, key: str) -> None:
        """All zones with what is expected beside what was read; a tap reads that one again."""
        heads = "".join(f"<span>{escape(head)}</span>" for head in words.HEADS)
        body = "".join(self._row(one) for one in zones)
        pick(
            f'<div class="table read-list" data-scroll><div class="heads" aria-hidden="true">{heads}</div>{body}</div>',
            label=words.LIST_LABEL, chosen=None, key=key, on_pick=self._typing().go_to,
        )  # fmt: skip

    def _expected(self, one: ZoneToRead) -> ExpectedReading | None:
        """What a zone is expected as; once it was read before a firing, only the middle of others is known."""
        return one.expected if self.key == "after" or one.got is None else None

    def _row(self, one: ZoneToRead) -> str:
        asked = self._typing().asked.get(one.sample)
        got = asked.entry.text if asked else _numbers(one.got)
        expected = self._expected(one)
        apart = wording.one_decimal(one.apart) if one.apart is not None and expected and not asked else ""
        said = words.ASKED if asked else "" if got else words.NOT_READ
        cells = (f"<b>{escape(place_name(one.tooth, one.zone))}</b>", escape(_said(expected)), escape(got), apart)
        body = "".join(f"<span>{cell}</span>" for cell in (*cells, escape(said or one.note or "")))
        return f'<div class="table-row" data-key="{escape(one.sample)}">{body}</div>'


def _said(expected: ExpectedReading | None) -> str:
    return _numbers(expected.lab) if expected is not None else ""


def _numbers(lab: tuple[float, float, float] | None) -> str:
    return wording.three(lab) if lab is not None else ""
