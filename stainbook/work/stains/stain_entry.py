"""A stain as a form enters it: its name as the bench says it, the form in which its jar comes, its jar."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from stainbook.book import Book
from stainbook.errors import InputError, UnknownNameError
from stainbook.language import say
from stainbook.records import CLEAR, FAMILIES, STAIN_FORMS, Stain
from stainbook.work.stains.painted import painted_layers

_LIQUID = "liquid"
LONGEST = 40  # letters of a name


@dataclass(frozen=True, slots=True)
class NewStain:
    """What a form holds of a stain; what is empty is not said, of a stain that is listed it stays as it was."""

    name: str
    form: str | None = None
    family: str | None = None
    system: str | None = None
    lot: str | None = None


def enter_stains(book: Book, typed: Iterable[NewStain]) -> None:
    """Enter stains into the lab's list, or what changed of them, such as a new jar, in one step.

    Raises InputError for a name that cannot stand in a mix, and a jar that became of another form.
    """
    typed = list(typed)
    with book.transaction() as step:
        listed = step.stains()
        step.add_stains([_stain(one, listed) for one in typed])


def _stain(typed: NewStain, listed: Mapping[str, Stain]) -> Stain:
    name = " ".join(typed.name.split())
    _check(name)
    for what, found, known in ((say("form"), typed.form, STAIN_FORMS), (say("colour family"), typed.family, FAMILIES)):
        if found and found not in known:
            raise UnknownNameError(what, found, known)
    kind = "clear" if name == CLEAR else "infiltrating" if typed.form == _LIQUID else "surface"
    before = listed.get(name)
    if before is None:
        before = Stain(name, kind)
    elif typed.form and (before.kind == "infiltrating") != (typed.form == _LIQUID):
        raise InputError(
            say("{name} is listed as another form, expected the same; give the other one a name of its own", name=name)
        )
    return replace(
        before,
        form=typed.form or before.form,
        family=typed.family or before.family,
        system=(typed.system or "").strip() or before.system,
        lot=(typed.lot or "").strip() or before.lot,
    )


def _check(name: str) -> None:
    """Raises InputError for a name that a typed mix would read otherwise."""
    if not name:
        raise InputError(say("found no name, expected the stain's, as the bench says it"))
    other = "husk" if name == CLEAR else CLEAR
    try:
        read = [one.pot.as_dict() for one in painted_layers(f"1 part {name} + 1 part {other}")]
    except InputError:
        read = []
    expected = [{"husk" if name == CLEAR else name: 0.5}]
    if len(name) > LONGEST or read != expected:
        raise InputError(
            say(
                "found the name {name!r}, expected up to {most} letters that can stand in a mix: no +, comma or "
                "semicolon, and no number before it",
                name=name, most=LONGEST,
            )
        )  # fmt: skip
