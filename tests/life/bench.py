"""A bench of the lab: its folder and its book, worked on with the commands alone, in this process."""

from __future__ import annotations

import contextlib
import io
import json
import re
import shutil
import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
import yaml

from stainbook.cli import main
from stainbook.records import LabValues, Reading
from tests.worlds.write import write_readings

Doc = dict[str, Any]
Key = tuple[int, str]
NEVER_SAID = re.compile(r"nearly always|hardly ever|about 0 in 10|more than 9 in 10|\d ?% (?:chance|sure)")
CHANCE = re.compile(r"more than 19 in 20|about [1-9] in 10|less than 1 in 20")


@dataclass(frozen=True)
class Said:
    """What a command wrote, and how it ended."""

    status: int
    out: str
    err: str


@dataclass
class Bench:
    """Commands run in ``folder`` on the book ``url``; times of what happened go from ``day`` on."""

    folder: Path
    url: str
    day: str = "2026-03-02"
    environment: Mapping[str, str] = field(default_factory=dict)

    @classmethod
    def of(cls, lab: Path, folder: Path) -> Bench:
        """A bench with a copy of the calibrated book and of the lab's files."""
        shutil.copytree(lab, folder, dirs_exist_ok=True)
        return cls(folder, f"sqlite:///{folder / 'lab.db'}")

    def at(self, hour: str) -> str:
        """``10:20`` of the day, as files and commands take it."""
        return f"{self.day}T{hour}:00Z"

    # ------------------------------------------------------------ commands

    def run(self, *arguments: object, status: int | None = 0) -> Said:
        """Run one command; ``status`` None takes any."""
        out, err = _pipe(), _pipe()
        environment = {"STAINBOOK_BOOK": self.url, **self.environment}
        with pytest.MonkeyPatch.context() as patch, contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            patch.chdir(self.folder)
            for name, value in environment.items():
                patch.setenv(name, value)
            done = main([str(one) for one in arguments])
        said = Said(done, _text(out), _text(err))
        command = "stainbook " + " ".join(map(str, arguments))
        assert status in (None, done), f"{command} ended with {done}: {said.err.strip()}"
        return said

    def json(self, *arguments: object) -> Doc:
        """The one JSON document that a command prints."""
        return dict(json.loads(self.run(*arguments, "--json").out))

    def refused(self, *arguments: object) -> str:
        """The one line that a command ends with, exit status 2 and nothing stored."""
        before = self.records()
        said = self.run(*arguments, status=2)
        assert said.out == ""
        (line,) = [one for one in said.err.splitlines() if not one.startswith("stainbook: warning: ")]
        assert line.startswith("stainbook: ")
        assert "No such command" not in line
        assert "No such option" not in line
        assert self.records() == before
        return line

    def records(self) -> dict[str, int]:
        """How many rows each table of the book holds: nothing stored means that none of them grew."""
        path = self.url.removeprefix("sqlite:///")
        with contextlib.closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as book:
            names = [name for (name,) in book.execute("select name from sqlite_master where type = 'table'")]
            return {name: book.execute(f'select count(*) from "{name}"').fetchone()[0] for name in names}

    # ------------------------------------------------------------ files

    def write(self, name: str, document: object) -> Path:
        """A YAML file in the folder."""
        path = self.folder / name
        path.write_text(yaml.dump(document, Dumper=_WrittenOut, sort_keys=False, allow_unicode=True), encoding="utf-8")
        return path

    def case(self, code: str, zones: Sequence[Doc], **head: object) -> str:
        """A case file; gives its name."""
        document = {"case": code, "material": "zirconia", "stage": "blasted", "finish": "glaze", **head}
        return self.write(f"{code}.yaml", document | {"zones": list(zones)}).name

    def open(self, code: str, zones: Sequence[Doc], **head: object) -> None:
        """A case file, and the case in the book."""
        self.run("case", "open", self.case(code, zones, **head))

    def read(self, *readings: Reading) -> None:
        """Readings into the book."""
        write_readings(self.folder / "read.csv", readings)
        self.json("read", "read.csv")

    def record(self, code: str, zones: Sequence[Doc] = (), *, hour: str = "10:00", **head: object) -> Doc:
        """Record one firing of a case; gives what ``record`` printed."""
        return self.json("record", self.outcome(code, zones, hour=hour, **head))

    def outcome(self, code: str, zones: Sequence[Doc] = (), *, hour: str = "10:00", **head: object) -> str:
        """An outcome file; gives its name."""
        document = {"case": code, "operator": "bench-1", "programme": "glaze-770", "fired_at": self.at(hour), **head}
        document |= {"zones": list(zones)} if zones else {}
        return self.write(f"outcome-{code}-{hour.replace(':', '')}.yaml", document).name

    # ------------------------------------------------------------ looked at

    def advice(self, case: str) -> dict[Key, Doc]:
        """The zones of ``advise``, by tooth and zone."""
        (found,) = self.json("advise", case)["cases"]
        return by_key(found["zones"])

    def bench(self, case: str) -> Doc:
        """The bench sheet."""
        return self.json("bench", case)


class _WrittenOut(yaml.SafeDumper):
    """Each value is written out: a case file knows no anchors."""

    def ignore_aliases(self, data: Any) -> bool:
        return True


def _pipe() -> io.TextIOWrapper:
    return io.TextIOWrapper(io.BytesIO(), encoding="utf-8", write_through=True)


def _text(pipe: io.TextIOWrapper) -> str:
    return pipe.buffer.getvalue().decode("utf-8")  # type: ignore[attr-defined]


def by_key(zones: Sequence[Doc]) -> dict[Key, Doc]:
    """Zones of a document by tooth and zone."""
    return {(one["tooth"], one["zone"]): one for one in zones}


def zone(
    tooth: int, name: str, *, target: LabValues | None = None, now: LabValues | None = None, **more: object
) -> Doc:
    """A zone of a case file; colours under D65, 10 degrees."""
    found: Doc = {"tooth": tooth, "zone": name}
    found |= {"now": colour(now)} if now else {}
    found |= {"target": colour(target)} if target else {}
    return found | more


def colour(lab: Sequence[float]) -> Doc:
    """A colour as files hold it."""
    L, a, b = (round(float(value), 3) for value in lab)
    return {"L": L, "a": a, "b": b, "illuminant": "D65", "observer": 10}


def lab_of(shown: Mapping[str, float]) -> LabValues:
    """L*, a*, b* of a colour as documents hold it."""
    return shown["L"], shown["a"], shown["b"]


def fired_zone(key: Key, layers: Sequence[Doc], after: object = None) -> Doc:
    """A zone of an outcome file; without ``after`` it was painted and not read."""
    found: Doc = {"tooth": key[0], "zone": key[1], "layers": list(layers)}
    return found | ({"after": after} if after else {})


def surface_moves(advised: Doc) -> Iterator[Doc]:
    """The next steps of a zone that put something on the piece as it is: not those on another blank."""
    yield from (move for move in advised["moves"] if move["kind"] != "remake" and move["layers"])


def stains_in(move: Doc) -> set[str]:
    """The stains of a next step."""
    return {name for layer in move["layers"] for name in layer["pot"]}
