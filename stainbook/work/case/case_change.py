"""What is prescribed of a case is changed as a revision of its own, and changed back: nothing of its history goes.

What happened to the piece is no setting: a change is undone only back to the last fact.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from stainbook.book import Book
from stainbook.book.teeth_renamed import renaming
from stainbook.errors import InputError
from stainbook.kept import StepDone
from stainbook.language import say
from stainbook.records import Case
from stainbook.stage_words import step_name
from stainbook.work.case.case_edits import difference_in_words
from stainbook.work.case.current_case import CurrentCase, What, known_case
from stainbook.work.case.open_case import brought_in, now, store_wish, wish_of, with_blank
from stainbook.work.case.tooth_renamed import rename_teeth
from stainbook.work.case.undo import Undo, last_step

Edit = Callable[[Case], Case]


def change_case(book: Book, what: What, edit: Edit) -> Case:
    """Change what is prescribed of a case, as a revision in the book; gives it as it is now.

    Raises InputError for what makes no case; then nothing is changed.
    """
    current = brought_in(book, what)
    edited = with_blank(edit(current.case))
    code = current.case.case
    if edited.stage != current.case.stage:
        _stage(book, current, edited.stage)
        current = known_case(book, code)
    if wish_of(edited) != wish_of(current.case):
        store_wish(book, current, edited)
    return known_case(book, code).case


def _stage(book: Book, current: CurrentCase, stage: str | None) -> None:
    """Another stage is where the case started from, as long as nothing happened to it."""
    state, code = current.state, current.case.case
    if state.last is not None and state.last.what not in ("opened", "stated"):
        raise InputError(
            say(
                "{code} is {known} by what happened to it ({step}), expected the next step of its way instead of the "
                "stage {stage}: stainbook case did {code} STEP",
                code=code,
                known=state.stage or say("at no stage"),
                step=step_name(state.last.what),
                stage=stage,
            )
        )
    book.add_steps([StepDone(code, "stated", now(), stage=stage)])


def undoable(book: Book, code: str) -> Undo | None:
    """The change that an undo would take back; None where there is none."""
    last = _stack(book, code)
    return last[0] if last else None


def undo(book: Book, code: str) -> Undo | None:
    """Take the newest change of a case back, as a revision of its own; gives what it was, None where there is none."""
    last = _stack(book, code)
    if last is None:
        return None
    current = known_case(book, code)
    teeth = renaming(wish_of(current.case), last[1])
    if teeth and any(one.record.renamed for one in book.entered("case", code)):
        rename_teeth(book, code, teeth)
    else:
        store_wish(book, current, last[1])
    return last[0]


def _stack(book: Book, code: str) -> tuple[Undo, Case] | None:
    """The newest change and the case before it: an undo takes its change off, a fact of the piece all changes."""
    current = known_case(book, code)
    fact = current.state.last
    since = fact.number if fact is not None and fact.what != "opened" else 0
    entered = book.entered("case", code)
    before = [one for one in entered if one.number < since][-1:]
    listed = [*before, *(one for one in entered if one.number > since)]
    states = [(_comparable(one.record), one.author, one.created_at) for one in listed]
    return last_step(states, difference_in_words)


def _comparable(case: Case) -> Case:
    return replace(wish_of(case), source="", limits=replace(case.limits, since=None))
