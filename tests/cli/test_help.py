"""Help: commands by job, an example for each that parses, completion for the shell."""

from __future__ import annotations

import shlex
from collections.abc import Iterator

import pytest
from typer.main import get_command

from stainbook.cli.commands import app
from stainbook.cli.help_groups import JOBS
from tests.cli.console import stainbook

ROOT = get_command(app)


def commands() -> Iterator[tuple[tuple[str, ...], object]]:
    for name, one in ROOT.commands.items():
        if hasattr(one, "commands"):
            yield from (((name, sub), command) for sub, command in one.commands.items())
        else:
            yield (name,), one


ALL = dict(commands())


def test_each_command_stands_under_its_job(tmp_path):
    out = stainbook("--help", cwd=tmp_path).stdout
    assert [job for job in JOBS if f"{job}:" not in out] == []
    assert all(getattr(one, "rich_help_panel", None) in JOBS for one in ROOT.commands.values())
    assert "--install-completion" in out


@pytest.mark.parametrize("path", ALL, ids=" ".join)
def test_each_help_has_an_example_that_parses(path):
    command = ALL[path]
    words = shlex.split((command.epilog or "").removeprefix("Example: "))
    assert tuple(words[1 : 1 + len(path)]) == path
    command.make_context(path[-1], words[1 + len(path) :], resilient_parsing=False).close()
