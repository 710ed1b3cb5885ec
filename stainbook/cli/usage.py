"""What is wrong with a command line, in one line and in the language that is spoken."""

from __future__ import annotations

import re
from collections.abc import Callable

import typer

from stainbook.language import Text, say

# what the library that reads command lines says in English alone, and the same as texts; other words of it stay English
_SAID: tuple[tuple[re.Pattern[str], Callable[..., str]], ...] = (
    (re.compile(r"Missing command"), lambda: say("Missing command")),
    (re.compile(r"Missing argument (.+)"), lambda name: say("Missing argument {name}", name=name)),
    (re.compile(r"Missing option (.+)"), lambda name: say("Missing option {name}", name=name)),
    (
        re.compile(r"No such command (.+?)\. Did you mean (.+)\?"),
        lambda name, near: say("No such command {name}. Did you mean {near}?", name=name, near=near),
    ),
    (re.compile(r"No such command (.+)"), lambda name: say("No such command {name}", name=name)),
    (
        re.compile(r"No such option: (\S+) Did you mean (.+)\?"),
        lambda name, near: say("No such option: {name} Did you mean {near}?", name=name, near=near),
    ),
    (
        re.compile(r"No such option: (\S+) \(Possible options: (.+)\)"),
        lambda name, near: say("No such option: {name} (Possible options: {near})", name=name, near=near),
    ),
    (re.compile(r"No such option: (\S+)"), lambda name: say("No such option: {name}", name=name)),
    (
        re.compile(r"Option (.+) requires an argument"),
        lambda name: say("Option {name} requires an argument", name=name),
    ),
    (
        re.compile(r"Got unexpected extra arguments? \((.+)\)"),
        lambda found: say("Got unexpected extra arguments ({found})", found=found),
    ),
    (
        re.compile(r"Invalid value for (.+?): (.+) is not a valid integer"),
        lambda name, found: say("Invalid value for {name}: {found} is not a valid integer", name=name, found=found),
    ),
    (
        re.compile(r"Invalid value for (.+?): (.+) is not a valid float"),
        lambda name, found: say("Invalid value for {name}: {found} is not a valid float", name=name, found=found),
    ),
)


def usage(error: typer.TyperException) -> str:
    """What is wrong, and where the help stands."""
    context = getattr(error, "ctx", None)
    command = context.command_path if context else "stainbook"
    return say("{found}; see {command} --help", found=_found(error), command=command)


def _found(error: typer.TyperException) -> str:
    english = error.format_message().rstrip(".")
    if isinstance(error.message, Text):
        hint = (
            english.removesuffix(str(error.message).rstrip(".")).removesuffix(": ").removeprefix("Invalid value for ")
        )
        if hint == "Invalid value":
            return say("Invalid value: {found}", found=error.message)
        return say("Invalid value for {option}: {found}", option=hint, found=error.message)
    for pattern, text in _SAID:
        found = pattern.fullmatch(english)
        if found is not None and (said := text(*found.groups())) == english:
            return said
    return english
