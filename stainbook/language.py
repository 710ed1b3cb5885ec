"""Texts for people: English as it is written here, and the same in another language where it is shown.

A text is made by `say`, `say_n` or `say_as`. It is English for whoever reads it as a string, so JSON, files and logs
are the same in every language. It remembers its template and its values. `shown` is called where a text leaves for a
screen, a sheet or a terminal; it finds the template in the catalogue of the language that is spoken.

Catalogues are gettext's: ``LANGUAGE/LC_MESSAGES/stainbook.mo`` in ``stainbook/locale``, or in the folder that
``STAINBOOK_CATALOGUES`` names. ``STAINBOOK_LANG`` chooses the language of the process; `speaking` one for a while.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache
from numbers import Real
from pathlib import Path
from typing import TYPE_CHECKING, cast

if TYPE_CHECKING:
    from gettext import GNUTranslations

ENGLISH = "en"
LANGUAGE, CATALOGUES = "STAINBOOK_LANG", "STAINBOOK_CATALOGUES"  # what the surroundings may say
DOMAIN = "stainbook"
PROOF_READ = (ENGLISH,)  # by somebody who grew up with the language
_NUMBERS = range(101)  # plural rules go by the last two digits
_SHIPPED = Path(__file__).parent / "locale"
_spoken: ContextVar[str | None] = ContextVar("spoken", default=None)


class Text(str):
    """An English text that knows its template and values, so that it can be shown in another language."""

    __slots__ = ("capital", "context", "many", "template", "values")

    template: str
    values: dict[str, object]
    many: str | None
    context: str | None
    capital: bool

    @classmethod
    def of(
        cls,
        template: str,
        values: dict[str, object],
        *,
        many: str | None = None,
        context: str | None = None,
        capital: bool = False,
    ) -> Text:
        """The text of a template; ``many`` is its plural, chosen by the value ``n``."""
        said = _filled(many if many is not None and values["n"] != 1 else template, values)
        text = cls(_capital(said) if capital else said)
        text.template, text.values, text.many, text.context, text.capital = template, values, many, context, capital
        return text

    def in_words_of(self, catalogue: GNUTranslations) -> str:
        """The text by a catalogue; in English where the catalogue has it not, or has it with other placeholders."""
        template = self._template_in(catalogue)
        values = {name: _value_in(one, catalogue) for name, one in self.values.items()}
        try:
            said = _filled(template, values)
        except (LookupError, ValueError):
            return str(self)
        return _capital(said) if self.capital else said

    def _template_in(self, catalogue: GNUTranslations) -> str:
        if self.many is None:
            if self.context is None:
                return catalogue.gettext(self.template) if self.template else ""
            return catalogue.pgettext(self.context, self.template)
        n = int(self.values["n"])  # type: ignore[call-overload]
        if self.context is None:
            return catalogue.ngettext(self.template, self.many, n)
        return catalogue.npgettext(self.context, self.template, self.many, n)


def say(template: str, /, **values: object) -> str:
    """A text for people.

    Parameters
    ----------
    template : English, with ``{name}`` for each value as `str.format` has it; braces are themselves where no value is
        given
    values : put in; those that are texts are shown in the same language

    >>> say("found {rows} rows in {name}", rows=3, name="peat.csv")
    'found 3 rows in peat.csv'
    """
    return Text.of(template, values)


def say_n(one: str, many: str, n: int, /, **values: object) -> str:
    """A text about ``n`` things: ``one`` is the template for one, ``many`` for any other number.

    >>> say_n("{n} zone", "{n} zones", 1), say_n("{n} zone", "{n} zones", 3)
    ('1 zone', '3 zones')
    """
    return Text.of(one, {"n": n, **values}, many=many)


class Numbered:
    """A text about ``n`` things that stands in a list of words: for one, and for any other number.

    >>> Numbered("Record {n} zone of {case}", "Record {n} zones of {case}").of(2, case="W-1042")
    'Record 2 zones of W-1042'
    """

    __slots__ = ("many", "one")

    def __init__(self, one: str, many: str) -> None:
        self.one, self.many = one, many

    def of(self, n: int, /, **values: object) -> str:
        """The text about so many."""
        return Text.of(self.one, {"n": n, **values}, many=self.many)


def say_as(context: str, template: str, /, **values: object) -> str:
    """As `say`, for a text that other languages word by what it stands for.

    >>> say_as("of the patient", "left")
    'left'
    """
    return Text.of(template, values, context=context)


def filled(text: str, /, **values: object) -> str:
    """A text of a list whose values are known only where it is said.

    >>> filled(say("book {place} is busy"), place="lab.db")
    'book lab.db is busy'
    """
    return Text.of(text.template if isinstance(text, Text) else text, values)


def joined(parts: Iterable[str], separator: str = ", ") -> str:
    """Texts side by side; what stands between them is the same in every language.

    >>> joined(["peat", "rook"], " + ")
    'peat + rook'
    """
    values = {f"part{place}": one for place, one in enumerate(parts)}
    return Text.of(separator.replace("{", "{{").replace("}", "}}").join(f"{{{name}}}" for name in values), {**values})


def listed(parts: Iterable[str]) -> str:
    """Texts as a list in a sentence.

    >>> listed(["peat", "rook", "weir"]), listed(["peat"])
    ('peat, rook and weir', 'peat')
    """
    known = list(parts)
    if len(known) < 2:
        return joined(known)
    return say("{all_but_last} and {last}", all_but_last=joined(known[:-1]), last=known[-1])


def either(parts: Iterable[str]) -> str:
    """Texts of which one is meant, as a list in a sentence.

    >>> either(["peat", "rook", "weir"])
    'peat, rook or weir'
    """
    known = list(parts)
    if len(known) < 2:
        return joined(known)
    return say("{all_but_last} or {last}", all_but_last=joined(known[:-1]), last=known[-1])


def capitalised(text: str) -> str:
    """The text with a capital at its start, in whichever language it is shown; a name that it starts with stays.

    >>> capitalised("known"), capitalised(say("{name} lays on more", name="bench-1"))
    ('Known', 'bench-1 lays on more')
    """
    if isinstance(text, Text) and (starts_with := re.match(r"\{(\w+)", text.template)):
        first = text.values.get(starts_with[1])
        if isinstance(first, str) and not isinstance(first, Text):
            return text
    return Text.of("{text}", {"text": text}, capital=True)


def with_names(text: str, change: Callable[[str], str]) -> str:
    """The text with its names changed, as paths without their folders; a plain string is changed as a whole.

    >>> with_names(say("found {path}", path="/lab/peat.csv"), lambda name: name.removeprefix("/lab/"))
    'found peat.csv'
    """
    if not isinstance(text, Text):
        return change(text)
    values = {
        name: with_names(str(one) if isinstance(one, Path) else one, change) if isinstance(one, str | Path) else one
        for name, one in text.values.items()
    }
    return Text.of(text.template, values, many=text.many, context=text.context, capital=text.capital)


def shown(text: str) -> str:
    """The text in the language that is spoken; what is no `Text` is a name or a number and stays as it is."""
    if not isinstance(text, Text):
        return text
    catalogue = _catalogue(spoken(), os.environ.get(CATALOGUES))
    return str(text) if catalogue is None else text.in_words_of(catalogue)


def shown_number(value: object) -> object:
    """A number that a template of the spoken language formats with that language's signs; all else as it is.

    >>> "{:.1f}".format(shown_number(0.25))
    '0.2'
    """
    catalogue = _catalogue(spoken(), os.environ.get(CATALOGUES))
    return value if catalogue is None or isinstance(value, str) else _value_in(value, catalogue)


def number_signs() -> tuple[str, str]:
    """What stands between the whole and the tenths of a number, and between thousands, in the spoken language."""
    catalogue = _catalogue(spoken(), os.environ.get(CATALOGUES))
    return (".", ",") if catalogue is None else _signs_of(catalogue)


def wordings(text: str) -> list[str]:
    """The templates by which the spoken language says a text, for any number; none in English.

    With them what somebody types as it is shown is read back.
    """
    catalogue = _catalogue(spoken(), os.environ.get(CATALOGUES))
    if catalogue is None or not isinstance(text, Text):
        return []
    if text.many is None:
        return [text._template_in(catalogue)]
    numbered = (Text.of(text.template, {**text.values, "n": n}, many=text.many, context=text.context) for n in _NUMBERS)
    return list(dict.fromkeys(one._template_in(catalogue) for one in numbered))


def spoken() -> str:
    """The language that is spoken here: the one of `speaking`, else of the process, else English."""
    return _spoken.get() or os.environ.get(LANGUAGE) or ENGLISH


@contextmanager
def speaking(language: str) -> Iterator[None]:
    """Show texts in a language inside."""
    token = _spoken.set(language)
    try:
        yield
    finally:
        _spoken.reset(token)


def speak(language: str | None) -> None:
    """Show texts in a language from here on, in this thread; None: in that of the process."""
    _spoken.set(language)


def languages() -> list[str]:
    """The languages that there is a catalogue for, English first."""
    found = {path.parts[-3] for folder in _folders(os.environ.get(CATALOGUES)) for path in _catalogues_in(folder)}
    return [ENGLISH, *sorted(found - {ENGLISH})]


def language_name(language: str) -> str:
    """A language by its own name, where it is known; else its code.

    >>> language_name("en")
    'English'
    """
    with speaking(language):
        said = shown(say_as("the name of your own language", "English"))
    return said if language == ENGLISH or said != "English" else language


def _catalogues_in(folder: Path) -> list[Path]:
    return list(folder.glob(f"*/LC_MESSAGES/{DOMAIN}.mo"))


def _folders(own: str | None) -> list[Path]:
    return [*([Path(own)] if own else []), _SHIPPED]


@cache
def _catalogue(language: str, own: str | None) -> GNUTranslations | None:
    """The catalogue of a language; None for English and for a language that has none."""
    if language == ENGLISH:
        return None
    from gettext import GNUTranslations

    for folder in _folders(own):
        path = folder / language / "LC_MESSAGES" / f"{DOMAIN}.mo"
        if path.is_file():
            with path.open("rb") as file:
                return GNUTranslations(file)
    return None


class _Number:
    """A number whose formats have the signs of a language."""

    __slots__ = ("number", "signs")

    def __init__(self, number: Real, signs: tuple[str, str]) -> None:
        self.number, self.signs = number, signs

    def __format__(self, form: str) -> str:
        point, thousands = self.signs
        return format(self.number, form).translate({ord("."): point, ord(","): thousands})

    def __str__(self) -> str:
        return format(self, "")

    __repr__ = __str__


def _value_in(value: object, catalogue: GNUTranslations) -> object:
    if isinstance(value, Text):
        return value.in_words_of(catalogue)
    return _Number(value, _signs_of(catalogue)) if isinstance(value, Real) else value


@cache
def _signs_of(catalogue: GNUTranslations) -> tuple[str, str]:
    signs = (
        say_as("between the whole and the tenths of a number", "."),
        say_as("between the thousands of a number", ","),
    )
    point, thousands = (catalogue.pgettext(cast(Text, one).context or "", one) for one in signs)
    return point, thousands


def _filled(template: str, values: dict[str, object]) -> str:
    return template.format(**values) if values else template


def _capital(said: str) -> str:
    return said[:1].upper() + said[1:]
