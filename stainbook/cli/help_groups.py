"""The list of commands in help: by job, in the order of the work, each with an example at the end of its own help."""

from __future__ import annotations

from typing import Any

from typer.core import TyperGroup

READ, STAINS, CASE = "Read", "Know the stains", "Work on a case"
FIRE, OVER, LAB = "Fire and learn", "Hand over", "The book and the app"
JOBS = (READ, STAINS, CASE, FIRE, OVER, LAB)


class JobGroup(TyperGroup):
    """Commands under the job that they are for (``rich_help_panel``)."""

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
    return f"Example: stainbook {line}"
