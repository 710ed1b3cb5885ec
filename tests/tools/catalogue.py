"""The catalogue of texts: ``python -m tests.tools.catalogue`` writes stainbook/locale/stainbook.pot anew.

A pseudo-language is made of it for the tests: each letter of a text with an accent, the text a third longer and between
brackets. What stands on a screen without accents is then a name or a number, or a text outside the catalogue.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from pathlib import Path

from babel.messages.catalog import Catalog, Message
from babel.messages.extract import extract_from_dir
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po
from typer.main import get_command

from stainbook.cli.commands import app
from stainbook.cli.spoken_help import help_text, with_help

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "stainbook"
TEMPLATE = PACKAGE / "locale" / "stainbook.pot"
KEYWORDS = {"say": (1,), "say_n": (1, 2), "Numbered": (1, 2), "say_as": ((1, "c"), 2)}
PSEUDO = "qaa"  # ISO 639-2: for local use
OPEN, CLOSE = "⟦", "⟧"
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
        made.add(message.id, translated, context=message.context)
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


def main() -> None:
    """Write the template."""
    TEMPLATE.parent.mkdir(exist_ok=True)
    TEMPLATE.write_text(as_template(catalogue()), encoding="utf-8")


if __name__ == "__main__":
    main()

__all__ = ["as_template", "catalogue", "outside", "placeholders", "pseudo", "read_po", "write_pseudo"]
