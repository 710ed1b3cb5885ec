"""Makes the old books: ``python -m tests.tools.make_old_books`` writes ``tests/old_books/data``.

They were made with three commits of this repository and can only be made by them, since what a later program writes
is no old book: it takes those programs, and the simulated lab of the last of them, out of the history and lets the
life of ``tests/old_books/life.py`` run on each. Made once, they are not made again: a data set that changes with the
program would tell nothing. It needs ``git`` with the whole history, and PostgreSQL's programs.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import subprocess
import sys
import tarfile
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[2]
OF_REVISION = {  # the last program of each revision of the tables
    "revision-1": "40757c04ac213141e4f07835c141e7caea80448e",
    "revision-2": "a1762b597286308798ea440fa6e114d4ec9c1ef4",
    "revision-3": "735989fab6350b8a9f8b0428f50b43ade344b83e",
}
NEWEST = OF_REVISION["revision-3"]
OURS = ("old_books", "tools")  # folders of tests that did not exist yet


def main() -> None:
    """Make all sets, then let the newest of the programs tell of each."""
    with tempfile.TemporaryDirectory() as place:
        made = Path(place) / "made"
        for name, commit in OF_REVISION.items():
            _in_its_program(Path(place) / name, commit, "make", name, made / name)
        _keep(made)
        program = Path(place) / "telling"
        _in_its_program(program, NEWEST, "tell", Path(place) / "told")
        shutil.rmtree(ROOT / "tests/old_books/data/told", ignore_errors=True)
        shutil.copytree(Path(place) / "told", ROOT / "tests/old_books/data/told")


def _in_its_program(folder: Path, commit: str, *arguments: object) -> None:
    """Run a part of this script with a program of the history."""
    if not folder.exists():
        _taken(commit, folder, "stainbook", "recipes", "app.py", ".streamlit")
        _taken(NEWEST, folder, "tests")
        for name in OURS:
            shutil.copytree(ROOT / "tests" / name, folder / "tests" / name, dirs_exist_ok=True)
    environment = {**os.environ, "PYTHONPATH": str(folder), "OPENBLAS_NUM_THREADS": "1", "TZ": "UTC"}
    command = [sys.executable, "-m", "tests.tools.make_old_books", *map(str, arguments)]
    subprocess.run(command, cwd=folder, env=environment, check=True)


def _taken(commit: str, folder: Path, *paths: str) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryFile() as stream:
        subprocess.run(["git", "-C", str(ROOT), "archive", commit, *paths], stdout=stream, check=True)
        stream.seek(0)
        with tarfile.open(fileobj=stream) as archive:
            archive.extractall(folder, filter="data")


def _keep(made: Path) -> None:
    from tests.old_books import sets

    shutil.rmtree(sets.DATA, ignore_errors=True)
    for name in OF_REVISION:
        sets.keep_statements(name, sets.sqlite_statements(made / name / "lab.db"))
    for name, cases in sets.CASES.items():
        sets.keep_folder(cases, made / name)
    sets.keep_exchange(made / "revision-3" / "exchange")
    dump = (made / "revision-3-dump.sql").read_text(encoding="utf-8")
    sets.keep_statements("postgresql", sets.postgresql_statements(dump))


# ---------------------------------------------------------------- inside one of the programs


def make(name: str, folder: Path) -> None:
    """The life of a set in a folder, and for the last one the same life on a server, and both as one exchange."""
    _live(name, "sqlite:///lab.db", folder)
    if name != "revision-3":
        return
    from tests.old_books.told import run

    with contextlib.chdir(folder):
        status, _, said = run("sqlite:///lab.db", "book", "export", "exchange")
        assert status == 0, said
    from tests.conftest import _server_binaries, _throwaway_server

    binaries = _server_binaries()
    assert binaries is not None, "PostgreSQL is not installed"
    with _throwaway_server(binaries) as server:
        _live(name, f"{server}/postgres", folder.with_name(f"{folder.name}-server"))
        asked = ["--inserts", "--no-owner", "--no-privileges", "-d", f"{server}/postgres".replace("+psycopg", "")]
        with folder.with_name(f"{folder.name}-dump.sql").open("wb") as stream:
            subprocess.run([str(binaries / "pg_dump"), *asked], stdout=stream, check=True)


def _live(name: str, url: str, folder: Path) -> None:
    from tests.old_books.bench import Bench, fixed_time_and_chance, learning_when_told
    from tests.old_books.life import first_life, live

    folder.mkdir(parents=True)
    with fixed_time_and_chance(name), learning_when_told(), contextlib.chdir(folder):
        (first_life if name == "revision-1" else live)(Bench(url, folder, newest=name == "revision-3"))


def tell(folder: Path) -> None:
    """What this program tells of each set, into a folder; the three ways to one book must be told alike."""
    from tests.old_books import sets
    from tests.old_books.compare import differences
    from tests.old_books.told import answers, as_text

    folder.mkdir(parents=True)
    told = {}
    for name in sets.SETS:
        with tempfile.TemporaryDirectory() as place, contextlib.chdir(place):
            if name == "postgresql":
                continue  # the test on a server sets it beside the book in a file
            url = sets.put(name, Path(place) / "lab")
            with contextlib.chdir("lab"):
                told[name] = answers(name, sets.opened(name, url))
        same = sets.AS_TOLD_OF.get(name)
        if same is None:
            (folder / f"{name}.json").write_text(as_text(told[name]), encoding="utf-8")
            continue
        asked = {one.asked for one in told[name]}
        apart = differences(name, [one for one in told[same] if one.asked in asked], told[name])
        print(*apart, sep="\n")


if __name__ == "__main__":
    if len(sys.argv) == 1:
        main()
    elif sys.argv[1] == "make":
        make(sys.argv[2], Path(sys.argv[3]))
    else:
        tell(Path(sys.argv[2]))
