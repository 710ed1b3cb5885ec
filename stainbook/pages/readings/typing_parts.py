"""Numbers typed row by row into the reader: each looked at as it comes, asked about where it looks like a slip.

Readings of a case are stored with each Enter (`OneByOne`). Those of a form, a tab, a plate or a disc, are kept until
its button is pressed (`typed_in`), in the tab of the browser too, so that a reload in the middle loses nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import streamlit as st

from stainbook.errors import InputError
from stainbook.faces.reading_types import Light, Slip, same_again
from stainbook.language import shown
from stainbook.pages.readings import one_by_one_texts as words
from stainbook.pages.shell import case_source
from stainbook.pages.shell.page_frame import keep, kept
from stainbook.pages.shell.plain import bare, plain
from stainbook.pages.shell.pressing import writing_button
from stainbook.pages.widgets.markup import pick
from stainbook.pages.widgets.reader import ReaderRow, TypedEntry, forget_drafts, show_reader, typed_entries
from stainbook.words.escaping import escape

MOST_TAKEN = 400  # entries whose ids are told to the browser
_DROPPED = "dropped drafts"


@dataclass(frozen=True, slots=True)
class AskedAbout:
    """Typed numbers that wait for an answer: the entry, the question, what may have been meant."""

    entry: TypedEntry
    question: str
    meant: str | None = None
    cannot: bool = False  # they are no colour, or cannot be stored
    never: bool = False  # they are no colour: what was meant may be taken, what was typed may not


Store = Callable[[TypedEntry, bool, bool], Slip | None]
Question = Callable[[TypedEntry, str], Slip | None]


@dataclass(frozen=True, slots=True)
class Typing:
    """A place where numbers are typed; ``name`` tells it from others.

    ``store`` takes an entry, whether it is sure, and whether it was typed here before; it gives a question or raises
    InputError. ``held``: the browser keeps entries until `forget_typed`.
    """

    name: str
    store: Store
    held: bool = False

    @property
    def _widget(self) -> str:
        return f"reader {self.name}"

    def _kept(self, what: str) -> str:
        return f"{what} {self.name}"

    @property
    def asked(self) -> dict[str, AskedAbout]:
        """What waits for an answer, by row."""
        found: dict[str, AskedAbout] = kept(self._kept("asked"), {})
        return found

    def take(self, rows: Sequence[str]) -> None:
        """Store what was typed since the page was drawn last; to be called before anything is drawn from it."""
        taken = {*kept(self._kept("taken"), []), *kept(self._kept("done"), [])}
        for entry in typed_entries(self._widget):
            waits = entry.key in self.asked and self.asked[entry.key].entry.id == entry.id
            if entry.id not in taken and not waits and entry.key in rows:
                self._take(entry, sure=entry.sure)

    def _take(self, entry: TypedEntry, *, sure: bool = False) -> None:
        before = self.asked.get(entry.key)
        may = before is not None and not (before.cannot or before.never)
        sure = sure or (before is not None and may and same_again(before.entry.text, entry.text))
        typed = kept(self._kept("typed here"), [])
        try:
            slip = self.store(entry, sure, entry.key in typed)
        except InputError as error:
            self._ask(AskedAbout(entry, bare(error), cannot=True))
            return
        if slip is not None:
            self._ask(AskedAbout(entry, slip.question, slip.meant, never=slip.never))
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

    def show(self, rows: Sequence[ReaderRow]) -> None:
        """The row in large letters with its field; beneath it what waits for an answer."""
        asked = self.asked
        drawn = [
            ReaderRow(
                one.key, bare(one.name), bare(one.note), one.expected,
                asked[one.key].entry.text if one.key in asked else one.got,
            )
            for one in rows
        ]  # fmt: skip
        on_it = {
            "field": shown(words.FIELD.format(zone="%s")), "expected": words.EXPECTED, "got": words.GOT,
            "left": words.LEFT.format(n="%s"), "all": words.ALL_READ, "back": words.BACK, "skip": words.SKIP,
            "wipe": words.WIPE, "next": words.NEXT,
        }  # fmt: skip
        done = kept(self._kept("done" if self.held else "taken"), [])
        go = kept(self._kept("go"), (0, ""))
        show_reader(
            drawn, on_it, key=self._widget, place=_place(self.name), done=done, go=go,
            answered=kept(self._kept("answered"), {}),
        )  # fmt: skip
        for row in [one.key for one in rows if one.key in asked]:
            self._question(asked[row])

    def _question(self, one: AskedAbout) -> None:
        row = one.entry.key
        st.warning(words.CANNOT_TAKE.format(reason=one.question) if one.cannot else plain(one.question))
        with st.container(horizontal=True):
            if one.meant and writing_button(words.AS_MEANT.format(meant=one.meant), type="primary", key=f"meant {row}"):
                self._answer(TypedEntry(one.entry.id, row, one.meant))
            so = not (one.cannot or one.never)
            if so and writing_button(words.AS_TYPED.format(typed=one.entry.text), key=f"typed so {row}"):
                self._answer(one.entry)
            if st.button(words.READ_AGAIN, key=f"again {row}"):
                self._done(one.entry.id)
                keep(self._kept("asked"), {key: each for key, each in self.asked.items() if each is not one})
                self.go_to(row)
                st.rerun()

    def _answer(self, entry: TypedEntry) -> None:
        """Take what a question was answered with; the browser keeps it as answered."""
        keep(self._kept("answered"), {**kept(self._kept("answered"), {}), entry.id: entry.text})
        self._take(entry, sure=True)
        st.rerun()

    def go_to(self, row: str) -> None:
        """Let the reader show a row."""
        keep(self._kept("go"), (kept(self._kept("go"), (0, ""))[0] + 1, row))

    def show_list(self, rows: Sequence[ReaderRow], *, key: str) -> None:
        """All rows with what was typed; a tap types that one again."""
        heads = "".join(f"<span>{escape(head)}</span>" for head in words.FORM_HEADS)
        body = "".join(self._row(one) for one in rows)
        pick(
            f'<div class="table form-list" data-scroll><div class="heads" aria-hidden="true">{heads}</div>{body}</div>',
            label=words.LIST_LABEL, chosen=None, key=key, on_pick=self.go_to,
        )  # fmt: skip

    def _row(self, one: ReaderRow) -> str:
        asked = self.asked.get(one.key)
        got = asked.entry.text if asked else one.got
        said = words.ASKED if asked else "" if got else words.NOT_READ
        body = "".join(f"<span>{escape(cell)}</span>" for cell in (one.name, got, said))
        return f'<div class="table-row" data-key="{escape(one.key)}">{body}</div>'


def _place(name: str) -> str:
    """Under which the browser keeps what was typed."""
    return f"stainbook {name}"


# ---------------------------------------------------------------- forms


def typed_in(name: str) -> dict[str, str]:
    """What was typed into a form and may stand, by row."""
    found: dict[str, str] = kept(_form(name), {})
    return dict(found)


def show_form(
    name: str,
    rows: Sequence[tuple[str, str]],
    light: Light,
    *,
    tissue: str = "sample",
    question: Question | None = None,
    before: Mapping[str, str] | None = None,
) -> bool:
    """Let the rows of a form be typed, each with its key and name; gives whether no question waits.

    before : how rows were read, where they are typed once more
    question : what is asked about an entry and the name of its row, in place of what is asked of any colour

    To be drawn before what is typed is used: what comes of it stands in `typed_in`.
    """
    names = dict(rows)

    def store(entry: TypedEntry, sure: bool, again: bool) -> Slip | None:
        if question is not None:
            slip = question(entry, names[entry.key])
        else:
            slip = case_source.lab().readings.question(entry.text, light, names[entry.key], tissue=tissue)
        if slip is None or sure:
            keep(_form(name), {**typed_in(name), entry.key: entry.text})
        return None if sure else slip

    typing = Typing(name, store, held=True)
    typing.take(list(names))
    typed = typed_in(name)
    drawn = [ReaderRow(key, row, got=typed.get(key, (before or {}).get(key, ""))) for key, row in rows]
    reader, listed = st.columns(2, gap="large")
    with reader:
        typing.show(drawn)
    with listed:
        typing.show_list(drawn, key=f"form {name}")
    return not typing.asked


def forget_typed(name: str) -> None:
    """Empty a form once it is stored; the browser's copy goes with `drop_drafts`."""
    keep(_form(name), {})
    for what in ("asked", "typed here"):
        keep(f"{what} {name}", {} if what == "asked" else [])
    keep(f"done {name}", [*kept(f"done {name}", []), *kept(f"taken {name}", [])][-MOST_TAKEN:])
    keep(f"taken {name}", [])
    keep(_DROPPED, [*kept(_DROPPED, []), _place(name)])


def drop_drafts() -> None:
    """Let the browser forget its copies of forms that were stored."""
    if kept(_DROPPED, []):
        forget_drafts(kept(_DROPPED, []))
        keep(_DROPPED, [])


def _form(name: str) -> str:
    return f"typed {name}"
