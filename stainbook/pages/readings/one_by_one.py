"""Readings typed one by one: stored with each Enter, asked about where they look like a slip, corrected at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import streamlit as st

from stainbook.errors import InputError
from stainbook.faces.firing_types import ZoneToRead
from stainbook.faces.reading_types import ExpectedReading, Light, same_again
from stainbook.language import shown
from stainbook.pages.readings import one_by_one_texts as words
from stainbook.pages.shell import case_source, wording
from stainbook.pages.shell.page_frame import keep, kept
from stainbook.pages.shell.plain import bare, plain
from stainbook.pages.shell.pressing import writing_button
from stainbook.pages.widgets.markup import pick
from stainbook.pages.widgets.reader import ReaderRow, TypedEntry, show_reader, typed_entries
from stainbook.words.escaping import escape
from stainbook.words.places import place as place_name

MOST_TAKEN = 400  # entries whose ids are told to the browser


@dataclass(frozen=True, slots=True)
class AskedAbout:
    """Typed numbers that wait for an answer: the entry, the question, what may have been meant."""

    entry: TypedEntry
    question: str
    meant: str | None = None
    cannot: bool = False  # they are no colour, or cannot be stored


@dataclass(frozen=True, slots=True)
class OneByOne:
    """Where readings are typed: ``key`` tells two such places apart, ``under`` is their light."""

    code: str
    key: str
    under: Light

    @property
    def _widget(self) -> str:
        return f"reader {self.key} {self.code}"

    def _kept(self, what: str) -> str:
        return f"{what} {self.key} {self.code}"

    @property
    def asked(self) -> dict[str, AskedAbout]:
        """What waits for an answer, by sample."""
        found: dict[str, AskedAbout] = kept(self._kept("asked"), {})
        return found

    def take(self, zones: Sequence[ZoneToRead]) -> None:
        """Store what was typed since the page was drawn last; to be called before anything is drawn from the book."""
        known = {one.sample: one for one in zones}
        taken = kept(self._kept("taken"), [])
        for entry in typed_entries(self._widget):
            waits = entry.key in self.asked and self.asked[entry.key].entry.id == entry.id
            if entry.id in taken or waits or entry.key not in known:
                continue
            self._take(entry, known[entry.key])

    def _take(self, entry: TypedEntry, zone: ZoneToRead, *, sure: bool = False) -> None:
        before = self.asked.get(entry.key)
        sure = sure or (before is not None and not before.cannot and same_again(before.entry.text, entry.text))
        typed = kept(self._kept("typed here"), [])
        again = entry.key in typed
        try:
            found = case_source.case(self.code).measured.take(
                entry.key, entry.text, self.under, zone.expected, sure=sure, again=again
            )
        except InputError as error:
            self._ask(AskedAbout(entry, bare(error), cannot=True))
            return
        if found.slip is not None:
            self._ask(AskedAbout(entry, found.slip.question, found.slip.meant))
            return
        if before is not None:
            self._done(before.entry.id)
        self._done(entry.id)
        keep(self._kept("typed here"), [*typed, entry.key])
        keep(self._kept("asked"), {key: one for key, one in self.asked.items() if key != entry.key})

    def _ask(self, question: AskedAbout) -> None:
        """Ask; what waited there before is no longer what counts."""
        before = self.asked.get(question.entry.key)
        if before is not None:
            self._done(before.entry.id)
        keep(self._kept("asked"), {**self.asked, question.entry.key: question})

    def _done(self, entry: str) -> None:
        keep(self._kept("taken"), [*kept(self._kept("taken"), []), entry][-MOST_TAKEN:])

    # ------------------------------------------------------------ on the page

    def show(self, zones: Sequence[ZoneToRead]) -> None:
        """The zone in large letters with its field; beneath it what waits for an answer."""
        rows = [
            ReaderRow(
                one.sample, bare(place_name(one.tooth, one.zone)), bare(one.note or ""), _said(one.expected),
                _numbers(one.got) if one.sample not in self.asked else self.asked[one.sample].entry.text,
            )
            for one in zones
        ]  # fmt: skip
        on_it = {
            "field": shown(words.FIELD.format(zone="%s")), "expected": words.EXPECTED, "got": words.GOT,
            "left": words.LEFT.format(n="%s"), "all": words.ALL_READ, "back": words.BACK, "skip": words.SKIP,
            "wipe": words.WIPE, "next": words.NEXT,
        }  # fmt: skip
        place = f"stainbook {self.key} {self.code}"
        done = kept(self._kept("taken"), [])
        show_reader(rows, on_it, key=self._widget, place=place, done=done, go=kept(self._kept("go"), (0, "")))
        for one in list(self.asked.values()):
            self._question(one, {zone.sample: zone for zone in zones})

    def _question(self, one: AskedAbout, zones: Mapping[str, ZoneToRead]) -> None:
        zone = zones.get(one.entry.key)
        if zone is None:
            return
        st.warning(words.CANNOT_TAKE.format(reason=one.question) if one.cannot else plain(one.question))
        with st.container(horizontal=True):
            if one.meant and st.button(
                words.AS_MEANT.format(meant=one.meant), type="primary", key=f"meant {zone.sample}"
            ):
                self._take(TypedEntry(one.entry.id, zone.sample, one.meant), zone, sure=True)
                st.rerun()
            if not one.cannot and writing_button(
                words.AS_TYPED.format(typed=one.entry.text), key=f"typed so {zone.sample}"
            ):
                self._take(one.entry, zone, sure=True)
                st.rerun()
            if st.button(words.READ_AGAIN, key=f"again {zone.sample}"):
                self._done(one.entry.id)
                keep(self._kept("asked"), {key: each for key, each in self.asked.items() if each is not one})
                self.go_to(zone.sample)
                st.rerun()

    def go_to(self, sample: str) -> None:
        """Let the reader show a zone."""
        keep(self._kept("go"), (kept(self._kept("go"), (0, ""))[0] + 1, sample))

    def show_list(self, zones: Sequence[ZoneToRead], *, key: str) -> None:
        """All zones with what is expected beside what was read; a tap reads that one again."""
        heads = "".join(f"<span>{escape(head)}</span>" for head in words.HEADS)
        body = "".join(self._row(one) for one in zones)
        pick(
            f'<div class="table read-list" data-scroll><div class="heads" aria-hidden="true">{heads}</div>{body}</div>',
            label=words.LIST_LABEL, chosen=None, key=key, on_pick=self.go_to,
        )  # fmt: skip

    def _row(self, one: ZoneToRead) -> str:
        asked = self.asked.get(one.sample)
        got = asked.entry.text if asked else _numbers(one.got)
        apart = wording.one_decimal(one.apart) if one.apart is not None and not asked else ""
        said = words.ASKED if asked else "" if got else words.NOT_READ
        cells = (f"<b>{escape(place_name(one.tooth, one.zone))}</b>", escape(_said(one.expected)), escape(got), apart)
        body = "".join(f"<span>{cell}</span>" for cell in (*cells, escape(said or one.note or "")))
        return f'<div class="table-row" data-key="{escape(one.sample)}">{body}</div>'


def _said(expected: ExpectedReading | None) -> str:
    return _numbers(expected.lab) if expected is not None else ""


def _numbers(lab: tuple[float, float, float] | None) -> str:
    return " ".join(wording.one_decimal(one) for one in lab) if lab is not None else ""
