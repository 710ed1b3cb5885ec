"""Two labs on one PostgreSQL: each command and each page, asked with the other lab's role, is told nothing of a lab."""

from __future__ import annotations

import dataclasses
import json
import re
import shlex
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import click
import pytest
import typer
from streamlit.testing.v1 import AppTest

from stainbook.book import open_book
from stainbook.cli.commands import app
from stainbook.errors import NotAllowedError
from stainbook.faces.permits import NEEDS
from stainbook.lab import Lab
from stainbook.pages.shell import texts
from stainbook.pages.shell.page_list import page_file
from stainbook.work.app.demo import make_demo_book, make_demo_folder
from tests.book.apart import two_labs
from tests.cli.console import stainbook
from tests.pages.seen import on_page
from tests.pages.test_roles import ask

pytestmark = pytest.mark.postgresql
SECRET = re.compile(r"NQ-\w+|north-hand|northerly \w+|nbarley")
_NOT_RUN = {"app", "demo", "worker"}  # which serve until they are ended; of workers tests/work/test_workers_apart.py
_NAMES = {
    "W-": "NQ-",
    "barley": "nbarley",
    "husk": "nhusk",
    "warm neck": "northerly neck",
    "cool edge": "northerly edge",
}


def told_of_north(text: str) -> str:
    for old, new in _NAMES.items():
        text = text.replace(old, new)
    return text


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("demo")
    make_demo_book(folder)
    make_demo_folder(folder)
    return folder


@pytest.fixture(scope="module")
def urls(postgresql_server: str, place: Path) -> Iterator[dict[str, str]]:
    """A database in which north has the demonstration's history under names of its own, and south has nothing."""
    with open_book(f"sqlite:///{place / 'lab.db'}") as demo:
        lines = demo.history()
    records = [json.loads(told_of_north(json.dumps(one.record))) for one in lines]
    mine = [
        dataclasses.replace(one, by="north-hand", record=record, name=one.name and told_of_north(one.name))
        for one, record in zip(lines, records, strict=True)
    ]
    with two_labs(postgresql_server) as found:
        with open_book(found["north"], lab="north") as north:
            north.restore(mine)
        yield found
        Lab.close_all()


def commands(group: Any = None, before: tuple[str, ...] = ()) -> Iterator[tuple[str, str]]:
    """Each command by its name, with the example at the end of its help."""
    found = group or typer.main.get_command(app)
    for name, one in found.commands.items():
        if isinstance(one, click.Group) or hasattr(one, "commands"):
            yield from commands(one, (*before, name))
        else:
            yield " ".join((*before, name)), str(one.epilog or "")


COMMANDS = sorted(name for name, _ in commands() if name not in _NOT_RUN)
EXAMPLES = {name: told_of_north(said.partition("stainbook ")[2]) for name, said in commands()}


def told(text: str, but: str) -> list[str]:
    """What a text says of north, but for what whoever asked has said themselves."""
    return sorted(set(SECRET.findall(text)) - set(SECRET.findall(but)))


def end_of_north(urls: dict[str, str]) -> object:
    import psycopg

    with psycopg.connect(urls["super"].replace("+psycopg", "")) as connection:
        return connection.execute("SELECT last, chain FROM head WHERE lab = 'north'").fetchone()


def test_north_has_what_is_looked_for(urls: dict[str, str]) -> None:
    with open_book(urls["north"], lab="north") as north:
        text = "".join(json.dumps(one.record) for one in north.history())
    assert {"nbarley", "northerly neck"} <= set(SECRET.findall(text))
    assert any(one.startswith("NQ-") for one in SECRET.findall(text))


@pytest.mark.parametrize("name", COMMANDS)
def test_a_command_of_the_other_lab_is_told_nothing_and_changes_nothing(
    name: str, urls: dict[str, str], place: Path, tmp_path: Path
) -> None:
    before = end_of_north(urls)
    for file in place.glob("W-*.yaml"):
        shutil.copy(file, tmp_path)
    assert EXAMPLES[name], "a command has an example"
    arguments = [*shlex.split(EXAMPLES[name]), *(["--yes"] if name == "book erase" else [])]
    honest = ["south"] if name.startswith("book ") else []  # the book's own commands look around in it
    for lab in (*honest, "north"):  # the one that it claims to be: then the database alone keeps them apart
        done = _ran(["--book", urls["south"], *arguments], tmp_path, lab)
        assert told(done, EXAMPLES[name]) == []
        assert "Traceback" not in done
    assert end_of_north(urls) == before


def _ran(arguments: list[str], cwd: Path, lab: str) -> str:
    environment = {"STAINBOOK_LAB": lab, "STAINBOOK_ACCOUNTS": str(cwd / "accounts.db")}
    done = stainbook(*arguments, cwd=cwd, status=None, **environment)
    return done.stdout + done.stderr


@pytest.mark.parametrize("words", [["NQ-"], ["neck"], ["--colour", "72,1,18", "--radius", "20"]])
def test_a_search_of_the_other_lab_finds_nothing(words: list[str], urls: dict[str, str], tmp_path: Path) -> None:
    assert told(_ran(["--book", urls["south"], "book", "search", *words], tmp_path, "south"), "") == []
    assert told(_ran(["--book", urls["north"], "book", "search", *words], tmp_path, "north"), "") != []


@pytest.mark.parametrize("lab", ["south", "north"])
@pytest.mark.parametrize("name", sorted(texts.PAGES))
def test_a_page_of_the_other_lab_shows_nothing(
    name: str, lab: str, urls: dict[str, str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("STAINBOOK_BOOK", urls["south"])
    monkeypatch.setenv("STAINBOOK_LAB", lab)
    monkeypatch.setenv("STAINBOOK_FOLDER", str(tmp_path))
    page = AppTest.from_file(str(page_file(name)), default_timeout=60)
    page.query_params["case"] = "NQ-1042"
    page.run()
    assert not page.exception
    assert told(" ".join(said for _, said in on_page(page)), "NQ-1042") == []


@pytest.mark.parametrize("name", sorted(NEEDS))
def test_a_reader_of_the_other_lab_changes_nothing(
    name: str, urls: dict[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    with pytest.raises(NotAllowedError):
        ask(Lab(urls["south"], role="reader", laboratory="north"), name)


@pytest.mark.parametrize("name", ["book list", "book search", "book verify", "advise", "case show"])
def test_nobody_reaches_the_book(name: str, urls: dict[str, str], tmp_path: Path) -> None:
    done = _ran(["--book", urls["nobody"], *shlex.split(EXAMPLES[name])], tmp_path, "north")
    assert "does not let this user" in done
    assert told(done, EXAMPLES[name]) == []
