"""Help in the language of the process: what commands and options say of themselves, and the command line's own words.

Docstrings and option help are English where they stand. The catalogue has each whole, by its content, so that a command
is written once. In English nothing here is used.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Any

from stainbook.language import ENGLISH, joined, say, shown, spoken

OWN_WORDS = (say("Arguments"), say("Options"), say("Commands"), say("Show this message and exit."))
_EXTRA = re.compile(
    r"(?P<help>.*?)\s*\[(?P<extras>(?:default|env var): [^\[\]]*|required|[^\[\]]*; required)\]$", re.DOTALL
)


def with_help(command: Any) -> Iterator[Any]:
    """A command, its options and arguments, and the commands below it: all that has ``help``."""
    yield command
    yield from command.params
    for below in getattr(command, "commands", {}).values():
        yield from with_help(below)


def help_text(text: str) -> str:
    """A help text as the catalogue has it: its paragraphs, each on one line."""
    return "\n\n".join(" ".join(paragraph.split()) for paragraph in text.split("\n\n"))


def speak_help(command: Any) -> None:
    """Put the help of a command and of all below it into the language that is spoken."""
    if spoken() == ENGLISH:
        return
    context = _context_of(command.context_class)
    for one in with_help(command):
        if getattr(one, "help", None):
            one.help = _by_content(one.help)
        if hasattr(one, "context_class"):
            one.context_class = context
            one.epilog = shown(one.epilog) if one.epilog else one.epilog


def _by_content(text: str) -> str:
    return shown(say(help_text(text)))


def _context_of(base: Any) -> Any:
    """The context of commands, whose help is written in the language that is spoken."""

    class SpokenFormatter(base.formatter_class):  # type: ignore[misc]
        def write_usage(self, prog: str, args: str = "", prefix: str | None = None) -> None:
            super().write_usage(prog, args, shown(say("Usage: ")) if prefix is None else prefix)

        def write_heading(self, heading: str) -> None:
            super().write_heading(_by_content(heading))

        def write_dl(self, rows: Sequence[tuple[str, str]], *rest: Any, **options: Any) -> None:
            super().write_dl([(first, _with_extras(second)) for first, second in rows], *rest, **options)

    class SpokenContext(base):  # type: ignore[misc]
        formatter_class = SpokenFormatter

    return SpokenContext


def _with_extras(text: str) -> str:
    """The help of an option with what stands behind it in brackets, such as its default."""
    found = _EXTRA.fullmatch(text)
    if found is None:
        return _by_content(text)
    extras = joined(map(_extra, found["extras"].split("; ")), "; ")
    return f"{_by_content(found['help'])}  [{shown(extras)}]"


def _extra(text: str) -> str:
    name, colon, value = text.partition(": ")
    if text == "required":
        return say("required")
    if colon and name == "default":
        return say("default: {value}", value=value)
    return say("env var: {name}", name=value) if colon and name == "env var" else text
