"""The list of commands in help: by job, in the order of the work, each with an example at the end of its own help."""

from __future__ import annotations

from typing import Any

from typer.core import TyperGroup

from stainbook.cli.spoken_help import speak_help
from stainbook.language import say

READ, STAINS, CASE = say("Read"), say("Know the stains"), say("Work on a case")
FIRE, OVER, LAB = say("Fire and learn"), say("Hand over"), say("The book and the app")
JOBS = (READ, STAINS, CASE, FIRE, OVER, LAB)


class JobGroup(TyperGroup):
    """Commands under the job that they are for (``rich_help_panel``), with help in the language that is spoken."""

    def main(self, *arguments: Any, **options: Any) -> Any:
        """Run a command line."""
        speak_help(self)
        return super().main(*arguments, **options)

    def format_commands(self, ctx: Any, formatter: Any) -> None:
        """Write one list a job."""
        shown = {name: command for name in self.list_commands(ctx) if (command := self.get_command(ctx, name))}
        width = formatter.width - 6 - max(map(len, shown), default=0)
        for job in JOBS:
            rows = [
                (name, one.get_short_help_str(width))
                for name, one in shown.items()
                if getattr(one, "rich_help_panel", None) == job
            ]
            if rows:
                with formatter.section(job):
                    formatter.write_dl(rows)


def example(line: str) -> str:
    """The end of a command's help: a line to be typed."""
    command = f"stainbook {line}"
    return say("Example: {command}", command=command)
