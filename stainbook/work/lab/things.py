"""What the book holds: listed, shown, looked for, two revisions side by side, recipes approved and retired."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from statistics import median
from typing import Any

from stainbook.book import Book, Entered
from stainbook.book.codec import encode
from stainbook.book.entries import ERASED_NAME
from stainbook.book.index import layers_text
from stainbook.book.index import words as _words
from stainbook.book.thing_words import thing_words
from stainbook.book.wanted import MOST_ASKED, BookQuery
from stainbook.errors import InputError, UnknownNameError
from stainbook.kept import LabRecipe, Outcome
from stainbook.language import listed, say
from stainbook.records import LabValues
from stainbook.work.documents.book_schemas import (
    Change,
    EnteredShown,
    FoundThing,
    HistoryResult,
    ListResult,
    RevisionShown,
    SearchResult,
    ShowResult,
    StateResult,
    UseShown,
)

SHOWN = (
    "recipe", "case", "outcome", "firing", "stain", "body", "chip", "tab", "reading", "operator", "programme",
    "instrument", "jar",
)  # fmt: skip


def list_things(book: Book, kind: str | None = None) -> ListResult:
    """How many things of each kind, or the things of one; raises UnknownNameError for a kind that is none.

    A case that was erased is on no list, though its nameless facts are kept.
    """
    if kind is None:
        erased = sum(name.startswith(ERASED_NAME) for name in book.names("case"))
        return ListResult(counts=dict(Counter(book.counts()) - Counter(case=erased)))
    listed = [one for one in book.newest_entered(_kind(kind)) if kind != "case" or not one.name.startswith(ERASED_NAME)]
    things = [_shown(one) for one in listed]
    return ListResult(counts={kind: len(things)}, things=things)


def show_thing(book: Book, name: str, kind: str | None = None) -> ShowResult:
    """A thing as it holds now; of a recipe also how it did.

    Raises UnknownNameError for a name that the book does not hold, InputError for one of several kinds.
    """
    entered = entered_as(book, name, kind)
    use = use_of(book, entered[-1].record) if isinstance(entered[-1].record, LabRecipe) else None
    return ShowResult(thing=_shown(entered[-1], whole=True), revisions=len(entered), use=use)


def entered_as(book: Book, name: str, kind: str | None = None) -> tuple[Entered, ...]:
    """All revisions of the thing of a name; raises as `show_thing` does."""
    kinds = [_kind(kind)] if kind else SHOWN
    found = {one: entered for one in kinds if (entered := _entered(book, one, name))}
    if not found:
        known = (thing.name for one in kinds for thing in book.newest_entered(one))
        raise UnknownNameError(thing_words(kind) if kind else say("thing in the book"), name, known)
    if len(found) > 1:
        raise InputError(
            say("{name!r} is {kinds}; say which with --kind", name=name, kinds=listed(map(thing_words, found)))
        )
    return next(iter(found.values()))


def _entered(book: Book, kind: str, name: str) -> tuple[Entered, ...]:
    own = book.entered(kind, name)
    return own or tuple(one for one in book.newest_entered(kind) if one.name == name and one.lab != book.lab)


def _kind(kind: str) -> str:
    if kind not in SHOWN:
        raise UnknownNameError(say("kind"), kind, SHOWN)
    return kind


def _shown(entered: Entered, *, whole: bool = False) -> EnteredShown:
    return EnteredShown(**_columns(entered), record=plain(entered.record) if whole else {})


def _columns(entered: Entered) -> dict[str, Any]:
    return {
        "kind": entered.kind,
        "name": entered.name,
        "revision": entered.revision,
        "author": entered.author,
        "created_at": entered.created_at,
        "lab": entered.lab or None,
        "state": getattr(entered.record, "state", None),
    }


def plain(record: Any) -> dict[str, Any]:
    """A record as plain values."""
    return dict(json.loads(encode(record)))


# ---------------------------------------------------------------- how a recipe did


def use_of(book: Book, recipe: LabRecipe) -> UseShown:
    """How a recipe did: from the outcomes that name it, and those that put exactly its layers on where it holds."""
    named = (("kind", "outcome"), ("recipe", recipe.recipe))
    same = (("kind", "outcome"), ("layers", layers_text(recipe.layers)))
    hits = [*book.search(BookQuery(conditions=named, limit=MOST_ASKED))]
    hits += [
        hit for hit in book.search(BookQuery(conditions=same, limit=MOST_ASKED)) if holds(recipe, hit.entered.record)
    ]
    outcomes = {(hit.entered.lab, hit.entered.number): hit.entered.record for hit in hits}.values()
    judged = [one.accepted for one in outcomes if one.accepted is not None]
    apart = [one.to_target for one in outcomes if one.to_target is not None]
    low, high = wilson(sum(judged), len(judged)) if judged else (None, None)
    return UseShown(
        uses=len(outcomes),
        judged=len(judged),
        accepted=sum(judged),
        share=sum(judged) / len(judged) if judged else None,
        low=low,
        high=high,
        dE00_median=median(apart) if apart else None,
        remakes=dict(sorted(Counter(one.returned for one in outcomes if one.returned).items())),
    )


def holds(recipe: LabRecipe, outcome: Outcome) -> bool:
    """True where an outcome does not contradict what the recipe holds for."""
    limits = recipe.conditions
    wet = {layer.consistency for layer in outcome.layers}
    asked: list[tuple[str | None, set[str | None]]] = [
        (limits.material, {outcome.material}),
        (limits.stage, {outcome.stage}),
        (limits.programme, {outcome.programme}),
        (limits.tissue, {outcome.tissue}),
        (limits.zone, {outcome.zone}),
        (limits.consistency, wet),
        (limits.surface, {outcome.before.surface if outcome.before else None}),
    ]
    return all(wanted is None or wanted in found or found == {None} for wanted, found in asked)


def wilson(successes: float, trials: float, z: float = 1.959964) -> tuple[float, float]:
    """The interval of a share, 95 % by default; of trials that err together so many as they are worth apart.

    References
    ----------
    E. B. Wilson, Probable inference, the law of succession, and statistical inference, JASA 22 (1927) 209-212.
    """
    share, grown = successes / trials, 1.0 + z * z / trials
    middle = (share + z * z / (2 * trials)) / grown
    half = z / grown * (share * (1.0 - share) / trials + z * z / (4 * trials * trials)) ** 0.5
    return max(0.0, middle - half), min(1.0, middle + half)


# ---------------------------------------------------------------- looked for


def search_things(book: Book, wanted: BookQuery) -> SearchResult:
    """What the book holds that is wanted."""
    found = book.search(wanted)
    return SearchResult(
        found=[FoundThing(**_columns(hit.entered), record=plain(hit.entered.record), dE00=hit.dE00) for hit in found]
    )


# ---------------------------------------------------------------- revisions


def history(book: Book, name: str, kind: str | None = None, *, between: tuple[int, int] | None = None) -> HistoryResult:
    """All revisions of a thing, each against the one before it; or the second of two against the first.

    Raises UnknownNameError, InputError as `show_thing` does, and for a revision that is not there.
    """
    entered = entered_as(book, name, kind)
    if between is not None:
        pair = [_revision(entered, number) for number in between]
        shown = [_against(pair[0], None), _against(pair[1], pair[0])]
    else:
        before = [None, *entered[:-1]]
        shown = [_against(one, _based_on(one, entered, last)) for one, last in zip(entered, before, strict=True)]
    return HistoryResult(kind=entered[-1].kind, name=name, revisions=shown)


def _revision(entered: Sequence[Entered], number: int) -> Entered:
    for one in entered:
        if one.revision == number:
            return one
    raise InputError(
        say(
            "{name!r} has no revision {number}; expected 1 to {last}",
            name=entered[0].name,
            number=number,
            last=entered[-1].revision,
        )
    )


def _based_on(one: Entered, entered: Sequence[Entered], last: Entered | None) -> Entered | None:
    """The revision that this one was made from."""
    based_on = getattr(one.record, "based_on", None)
    return next((other for other in entered if other.revision == based_on), last)


def _against(one: Entered, other: Entered | None) -> RevisionShown:
    changes = list(changed(plain(other.record), plain(one.record))) if other else []
    return RevisionShown(
        **_columns(one),
        record=plain(one.record),
        why=getattr(one.record, "why", None),
        against=other.revision if other else None,
        changes=changes,
    )


_ABOUT_THE_REVISION = ("why", "based_on")


def changed(before: Any, after: Any, where: str = "") -> Iterator[Change]:
    """The places in which two plain documents differ."""
    if isinstance(before, dict) and isinstance(after, dict):
        for key in [*before, *(key for key in after if key not in before)]:
            if where or key not in _ABOUT_THE_REVISION:
                yield from changed(before.get(key), after.get(key), f"{where}.{key}" if where else key)
    elif isinstance(before, list) and isinstance(after, list) and len(before) == len(after):
        for number, (old, new) in enumerate(zip(before, after, strict=True), 1):
            yield from changed(old, new, f"{where} {number}")
    elif before != after:
        yield Change(where=where, before=before, after=after)


def set_state(book: Book, name: str, state: str, *, why: str | None = None) -> StateResult:
    """Approve or retire a recipe: a revision of its own, by the author of the book.

    Raises UnknownNameError for a recipe that the book does not hold.
    """
    entered = book.entered("recipe", name)
    if not entered:
        raise UnknownNameError(say("recipe"), name, book.recipes())
    last = entered[-1]
    if last.record.state == state:
        return StateResult(recipe=name, state=state, revision=last.revision)
    revised = book.revise_recipe(replace(last.record, state=state, why=why, based_on=last.revision))
    meanwhile = _against(revised.meanwhile, last) if revised.meanwhile else None
    return StateResult(recipe=name, state=state, revision=revised.revision, meanwhile=meanwhile)


# ---------------------------------------------------------------- what was typed


def wanted_of(
    colour: str | None,
    radius: float,
    words: Sequence[str],
    conditions: Sequence[tuple[str, str]],
    *,
    illuminant: str | None = None,
    observer: int | None = None,
    limit: int = 20,
) -> BookQuery:
    """What is looked for, from what was typed; with nothing typed the newest outcomes.

    Raises InputError for a colour that is none, UnknownNameError for an illuminant or observer that is not known.
    """
    from stainbook.work.reading.viewing_conditions import SPECTRA_SEEN_UNDER, Asked

    listed = [*conditions, *(("word", word) for text in words for word in sorted(_words(text)))]
    lab = None if colour is None else _lab(colour)
    if lab is None and not listed:
        listed = [("kind", "outcome")]
    viewing = Asked(illuminant, observer).viewing or SPECTRA_SEEN_UNDER
    return BookQuery(lab, radius, viewing, tuple(listed), limit)


def _lab(text: str) -> LabValues:
    try:
        L, a, b = (float(part) for part in text.split(","))
    except ValueError as error:
        raise InputError(
            say("colour {text!r}: expected three numbers, L,a,b, such as 71.3,1.2,18.5", text=text)
        ) from error
    return L, a, b


def pair_of(text: str | None) -> tuple[int, int] | None:
    """Two revisions' numbers from M,N; raises InputError for anything else."""
    if text is None:
        return None
    try:
        first, second = (int(part) for part in text.split(","))
    except ValueError as error:
        raise InputError(say("revisions {text!r}: expected two numbers, M,N, such as 2,3", text=text)) from error
    return first, second
