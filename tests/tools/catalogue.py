"""The catalogue of texts: ``python -m tests.tools.catalogue`` writes stainbook/locale/stainbook.pot anew.

Each language's ``stainbook.po`` is brought up to date with it: translations stay, what no code says any more goes, what
is new is left empty and nothing is guessed. The ``stainbook.mo`` that the program reads is made of it. A language named
on the command line is begun.

A pseudo-language is made of it for the tests: each letter of a text with an accent, the text a third longer and between
brackets. What stands on a screen without accents is then a name or a number, or a text outside the catalogue.
"""

from __future__ import annotations

import io
import re
import sys
from collections.abc import Iterator
from pathlib import Path

from babel.messages.catalog import Catalog, Message
from babel.messages.extract import extract_from_dir
from babel.messages.mofile import write_mo
from babel.messages.plurals import get_plural
from babel.messages.pofile import read_po, write_po
from typer.main import get_command

from stainbook.cli.commands import app
from stainbook.cli.spoken_help import help_text, with_help

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "stainbook"
LOCALE = PACKAGE / "locale"
TEMPLATE = LOCALE / "stainbook.pot"
KEYWORDS = {"say": (1,), "say_n": (1, 2), "Numbered": (1, 2), "say_as": ((1, "c"), 2)}
PSEUDO = "qaa"  # ISO 639-2: for local use
# Languages whose rule has a form of its own for whole millions, which nothing here is counted in, without that form.
_WITHOUT_MILLIONS = {"es": (2, "(n != 1)")}
OPEN, CLOSE = "⟦", "⟧"
# How the pseudo-language writes numbers and dates, by the context of the text.
FORMS = {
    "between the whole and the tenths of a number": ",",
    "between the thousands of a number": ".",
    "a date": "{day}.{month}.{year}",
}
_PLAIN = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"
_ACCENTED = "áƀçđéƒğĥíĵķłɱñóƥɋŕšţúṽŵẋýžÁƁÇĐÉƑĞĤÍĴĶŁṀÑÓƤɊŔŠŢÚṼŴẊÝŽ"
_ACCENTS = str.maketrans(_PLAIN, _ACCENTED)
_UNTOUCHED = re.compile(
    r"\{[^{}]*\}|</?[a-z][^<>]*>|`[^`]*`|\]\([^)]*\)|&[a-z]+;|\\n"
)  # placeholders, tags, code, links


def catalogue() -> Catalog:
    """All texts of the package as they are in its code now."""
    found = Catalog(project="stainbook", charset="utf-8", fuzzy=False)
    for path, line, message, comments, context in extract_from_dir(
        PACKAGE, [("**.py", "python")], keywords=KEYWORDS, strip_comment_tags=True
    ):
        del line
        found.add(message, None, [(f"stainbook/{path}", None)], auto_comments=comments, context=context)
    for text in help_texts():
        found.add(text, None, [("stainbook/cli", None)])
    return found


def help_texts() -> Iterator[str]:
    """What commands and their options say of themselves: docstrings and option help."""
    for one in with_help(get_command(app)):
        if getattr(one, "help", None):
            yield help_text(one.help)


def as_template(found: Catalog) -> str:
    """The catalogue as a file for translators, without dates, so that it changes with the texts alone."""
    out = io.BytesIO()
    write_po(out, found, omit_header=True, sort_output=True, width=110)
    return f'msgid ""\nmsgstr ""\n"Content-Type: text/plain; charset=utf-8\\n"\n\n{out.getvalue().decode("utf-8")}'


class Translated(Catalog):
    """The texts in a language; the head of its files names no people, places or dates."""

    def __init__(self, language: str) -> None:
        super().__init__(locale=language, charset="utf-8", fuzzy=False, header_comment="")

    @property
    def mime_headers(self) -> list[tuple[str, str]]:
        """What the files say of themselves."""
        return [
            ("Language", str(self.locale_identifier)),
            ("MIME-Version", "1.0"),
            ("Content-Type", "text/plain; charset=utf-8"),
            ("Content-Transfer-Encoding", "8bit"),
            ("Plural-Forms", "nplurals={}; plural={};\n".format(*plural_rule(str(self.locale_identifier)))),
        ]

    @property
    def num_plurals(self) -> int:
        """How many forms a text about a number has."""
        return plural_rule(str(self.locale_identifier))[0]


def plural_rule(language: str) -> tuple[int, str]:
    """How many forms a language has for numbers, and which one is for ``n``, as gettext writes it.

    >>> plural_rule("de"), plural_rule("es")
    ((2, '(n != 1)'), (2, '(n != 1)'))
    """
    if language in _WITHOUT_MILLIONS:
        return _WITHOUT_MILLIONS[language]
    found = get_plural(language)
    return found.num_plurals, found.plural_expr


def po_file(language: str) -> Path:
    """Where the translations into a language stand."""
    return LOCALE / language / "LC_MESSAGES" / "stainbook.po"


def shipped_languages() -> list[str]:
    """The languages that the package has translations for."""
    return sorted(path.parts[-3] for path in LOCALE.glob("*/LC_MESSAGES/stainbook.po"))


def brought_up(language: str, written: str, found: Catalog) -> Translated:
    """All texts of a catalogue with the translations that a ``.po`` file has for just these texts."""
    known = {_key(one): one for one in _messages(read_po(io.StringIO(written), locale=language)) if _is_whole(one)}
    made = Translated(language)
    for one in _messages(found):
        said = known[_key(one)].string if _key(one) in known else ""
        made.add(one.id, said, context=one.context, auto_comments=one.auto_comments)
    return made


def as_po(made: Translated) -> str:
    """A language's translations as a file; where a text stands is said by the template alone."""
    out = io.BytesIO()
    write_po(out, made, no_location=True, ignore_obsolete=True, sort_output=True, width=110)
    return out.getvalue().decode("utf-8").lstrip("\n")


def as_mo(made: Translated) -> bytes:
    """A language's translations as the program reads them, without those that are missing."""
    whole = Translated(str(made.locale_identifier))
    for one in filter(_is_whole, _messages(made)):
        whole.add(one.id, one.string, context=one.context)
    out = io.BytesIO()
    write_mo(out, whole)
    return out.getvalue()


def marks(text: str) -> dict[str, list[str]]:
    """What a translation keeps as it is: placeholders with their formats, tags, code, targets of links, signs.

    >>> marks("see `lab.db` of {name}, [more](guide)")["code"], marks("**{n:.1f}**")["placeholders"]
    (['`lab.db`'], ['{n:.1f}'])
    """
    bare = text.replace("{{", "").replace("}}", "")
    return {
        "placeholders": sorted(set(re.findall(r"\{\w+[^{}]*\}", bare))),
        "braces": re.findall(r"\{\{|\}\}", text),
        "tags": sorted(re.findall(r"</?[a-z][^<>]*>", text)),
        "code": sorted(re.findall(r"`[^`]*`", text)),
        "links": sorted(re.findall(r"\]\(([^)]*)\)", text)),
        "signs": sorted(re.findall(r"\\\\.|\*\*|&[a-z]+;|\n\n", text)),
        "ends": [text[: len(text) - len(text.lstrip())], text[len(text.rstrip()) :]],
    }


def broken(source: str, translation: str, *, may_omit: frozenset[str] = frozenset()) -> list[str]:
    """The kinds of marks that a translation does not keep; a plural need not say its number."""
    before, after = marks(source), marks(translation)
    for kept in (before, after):
        kept["placeholders"] = [one for one in kept["placeholders"] if one not in may_omit]
    return [kind for kind in before if before[kind] != after[kind]]


def _key(one: Message) -> tuple[object, str | None]:
    return (one.id if isinstance(one.id, str) else tuple(one.id)), one.context


def _is_whole(one: Message) -> bool:
    return bool(one.string) and not one.fuzzy and (isinstance(one.string, str) or all(one.string))


def pseudo(text: str) -> str:
    """A text in the pseudo-language.

    >>> pseudo("found {rows} rows")
    '⟦ƒóúñđ {rows} ŕóŵš ~~~~⟧'
    """
    parts, last = [], 0
    for untouched in _UNTOUCHED.finditer(text):
        parts += [text[last : untouched.start()].translate(_ACCENTS), untouched[0]]
        last = untouched.end()
    parts.append(text[last:].translate(_ACCENTS))
    return f"{OPEN}{''.join(parts)} {'~' * max(1, len(text) // 4)}{CLOSE}"


def pseudo_catalogue(found: Catalog) -> Catalog:
    """The catalogue with each text in the pseudo-language."""
    made = Catalog(locale=None, charset="utf-8", fuzzy=False)
    for message in _messages(found):
        said = message.id if isinstance(message.id, str) else list(message.id)
        translated = pseudo(said) if isinstance(said, str) else tuple(map(pseudo, said))
        made.add(message.id, FORMS.get(message.context, translated), context=message.context)
    return made


def write_pseudo(folder: Path) -> Path:
    """Write the pseudo-language into a folder of catalogues, for ``STAINBOOK_CATALOGUES``."""
    path = folder / PSEUDO / "LC_MESSAGES" / "stainbook.mo"
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("wb") as file:
        write_mo(file, pseudo_catalogue(catalogue()))
    return folder


def placeholders(text: str) -> set[str]:
    """The names between braces of a template."""
    return set(re.findall(r"\{(\w+)[^{}]*\}", text))


def outside(text: str, *, known: set[str] = frozenset()) -> list[str]:  # type: ignore[assignment]
    """Words of a screen in the pseudo-language that stand in no catalogue: letters without accents, not known names."""
    return [
        word for word in re.findall(r"[A-Za-z]+(?:'[A-Za-z]+)*", text) if len(word) > 1 and word.lower() not in known
    ]


def _messages(found: Catalog) -> Iterator[Message]:
    return (message for message in found if message.id)


def main(begun: list[str]) -> None:
    """Write the template and each language; say what a language has not yet."""
    found = catalogue()
    TEMPLATE.parent.mkdir(exist_ok=True)
    TEMPLATE.write_text(as_template(found), encoding="utf-8")
    for language in sorted({*shipped_languages(), *begun}):
        path = po_file(language)
        path.parent.mkdir(parents=True, exist_ok=True)
        made = brought_up(language, path.read_text(encoding="utf-8") if path.exists() else "", found)
        path.write_text(as_po(made), encoding="utf-8")
        path.with_suffix(".mo").write_bytes(as_mo(made))
        print(f"{language}: {sum(not _is_whole(one) for one in _messages(made))} texts to translate")


if __name__ == "__main__":
    main(sys.argv[1:])

__all__ = [
    "as_mo",
    "as_po",
    "as_template",
    "broken",
    "brought_up",
    "catalogue",
    "marks",
    "outside",
    "placeholders",
    "plural_rule",
    "po_file",
    "pseudo",
    "read_po",
    "shipped_languages",
    "write_pseudo",
]
