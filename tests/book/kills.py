"""Benches that are killed at random moments of recording, importing, migrating, backing up and erasing.

``python -m tests.book.kills URL KILLS [SEED]`` kills that many; the tests kill a few. For URL stands ``sqlite`` too, a
file of this run, and ``postgresql``, a server of this run. A child process does one
kind of work over and over and says through a pipe what was acknowledged; it is killed with SIGKILL. Then the
book must open, its chain must hold, what was acknowledged must be there, and nothing may be there by half.
"""

from __future__ import annotations

import contextlib
import json
import os
import random
import re
import signal
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path

from stainbook.book import open_book
from stainbook.book.upgrade import DUMPED
from stainbook.records import Stain
from stainbook.work.firing.record import record_files
from stainbook.work.lab.book_backup import back_up_book
from stainbook.work.lab.exchange import export, import_
from tests.book.earlier import make_first_version, wipe
from tests.book.worked import case, outcome, recipe
from tests.work.benches import fired

Say = Callable[[object], None]
Work = Callable[[str, Path, Say], None]
TEETH = (11, 12, 13)  # of a case that is erased
THINGS = 40  # of one import, all or none of which are stored


def record(url: str, folder: Path, say: Say) -> None:
    """Record one firing after the other: reading, case, firing and outcome are one step."""
    with open_book(url, author="killed") as book:
        book.add_stains([Stain("husk")])
        say("ready")
        number = len(book.outcomes())
        while True:
            number += 1
            path = fired(folder, fired_at=f"2026-03-02T10:{number // 60 % 60:02}:{number % 60:02}Z")
            record_files(book, [path], because="again")
            say(number)


def check_record(url: str, _: Path, said: list[object]) -> None:
    with open_book(url) as book:
        outcomes, firings = book.outcomes(), book.firings()
        assert len(outcomes) == len(firings)
        assert not said or len(outcomes) >= max(int(str(one)) for one in said)
        assert {one.fired_at for one in outcomes} == {one.fired_at for one in firings}
        assert not outcomes or {"W-1042"} == set(book.cases())


def take_in(url: str, folder: Path, say: Say) -> None:
    """Take in one bundle after the other, each of the outcomes of its own case."""
    bundles = sorted(folder.glob("bundle-*.zip"))
    with open_book(url, author="killed") as book:
        say("ready")
        for bundle in bundles:
            import_(book, bundle)
            say(bundle.stem)
    while True:
        time.sleep(1)


def check_take_in(url: str, _: Path, said: list[object]) -> None:
    with open_book(url) as book:
        counted = Counter(one.case for one in book.outcomes())
        assert set(counted.values()) <= {THINGS}
        assert set(map(str, said)) <= set(counted)
        assert set(book.cases()) == set(counted)


def make_bundles(folder: Path, count: int = 6) -> None:
    """Bundles for `take_in`, made once."""
    for number in range(count):
        place = folder / f"{number}.db"
        with open_book(f"sqlite:///{place}") as book:
            name = f"bundle-{number}"
            book.add_cases([case(name)])
            stamps = (f"2026-03-02T10:{n:02}:00Z" for n in range(THINGS))
            book.add_outcomes(outcome(name, fired_at=stamp) for stamp in stamps)
            book.revise_recipe(recipe(name))
            export(book, folder / f"{name}.zip")
        place.unlink()


def migrate(url: str, _: Path, say: Say) -> None:
    """Open a book of the first version: it is migrated to the newest."""
    os.environ[DUMPED] = "yes"
    say("ready")
    open_book(url).close()
    say("migrated")
    while True:
        time.sleep(1)


def check_migrate(url: str, _: Path, said: list[object]) -> None:
    os.environ[DUMPED] = "yes"
    with open_book(url) as book:
        assert len(book.stains()) == 400
        assert book.counts() == {"stain": 400}


def back_up(url: str, folder: Path, say: Say) -> None:
    """Copy a book in a file again and again, and write to it meanwhile."""
    number = 0
    with open_book(url, author="killed") as book:
        book.add_stains(Stain(f"s{n}", notes="x" * 500) for n in range(200))
        say("ready")
        while True:
            number += 1
            book.add_fit("counter", {"number": number})
            back_up_book(book, folder / f"copy-{os.getpid()}-{number}.db")
            say(f"copy-{os.getpid()}-{number}.db")


def check_back_up(url: str, folder: Path, said: list[object]) -> None:
    for name in map(str, said):
        assert (folder / name).is_file()
    for copy in folder.glob("copy-*.db"):  # whole, acknowledged or not
        with open_book(f"sqlite:///{copy}") as book:
            assert book.verify().faults == ()
            assert len(book.stains()) == 200
        copy.unlink()
    for part in folder.glob("*.part*"):
        part.unlink()


def erase(url: str, folder: Path, say: Say) -> None:
    """Store one case after the other with its outcomes, and erase it again."""
    with open_book(url, author="killed") as book:
        say("ready")
        number = book.newest_row()
        while True:
            number += 1
            code = f"kestrel-{os.getpid()}-{number}"
            with book.transaction() as step:
                step.add_cases([case(code)])
                step.add_outcomes(outcome(code, tooth=tooth, note=f"seen by {code}") for tooth in TEETH)
            book.erase_case(code, why="asked for")
            say(code)


def check_erase(url: str, folder: Path, said: list[object]) -> None:
    with open_book(url) as book:
        left = set(book.cases())
        counted = Counter(one.case for one in book.outcomes())
        assert counted == dict.fromkeys(left, len(TEETH))
        assert not left & set(map(str, said))
        assert sum(name.startswith("erased-") for name in left) >= len(said)
        written = " ".join(f"{line.name} {line.record}" for line in book.history())
        assert set(re.findall(r"kestrel-\d+-\d+", written)) <= left
    if url.startswith("sqlite"):
        files = b"".join(one.read_bytes() for one in Path(url.removeprefix("sqlite:///")).parent.glob("*.db-erase*"))
        gone = {one.decode() for one in re.findall(rb"kestrel-\d+-\d+", files)} - left
        assert not gone & set(map(str, said)), gone


JOBS: dict[str, tuple[Work, Callable[[str, Path, list[object]], None]]] = {
    "record": (record, check_record),
    "import": (take_in, check_take_in),
    "migrate": (migrate, check_migrate),
    "backup": (back_up, check_back_up),
    "erase": (erase, check_erase),
}


def kill(job: str, url: str, folder: Path, rng: random.Random, *, longest: float) -> list[object]:
    """Let a child work, kill it at a random moment, check the book; gives what it acknowledged.

    The moment is up to ``longest`` seconds after it is ready, or has acknowledged one or two pieces of work: a busy
    machine would else never let it get there.
    """
    work, check = JOBS[job]
    first_ones = 0 if job == "migrate" else rng.choice((0, 1, 2))
    if job == "migrate":
        wipe(url)
        make_first_version(url, [Stain(f"s{n}") for n in range(400)])
    reader, writer = os.pipe()
    child = os.fork()
    if child == 0:
        _be_child(work, url, folder, reader, writer)
    os.close(writer)
    with os.fdopen(reader, "rb") as stream:
        first = b"".join(stream.readline() for _ in range(1 + first_ones))
        time.sleep(rng.uniform(0.0, longest))
        os.kill(child, signal.SIGKILL)
        _, status = os.waitpid(child, 0)
        lines = (first + stream.read()).split(b"\n")[:-1]
    said = [json.loads(line) for line in lines]
    assert os.WIFSIGNALED(status), said
    assert said[0] == "ready", said
    check(url, folder, said[1:])
    with open_book(url, timeout=30) as book:
        assert book.verify().faults == ()
    return said[1:]


def _be_child(work: Work, url: str, folder: Path, reader: int, writer: int) -> None:
    os.close(reader)

    def say(what: object) -> None:
        os.write(writer, json.dumps(what).encode() + b"\n")

    try:
        work(url, folder, say)
    except BaseException as error:
        say(repr(error))
    os._exit(1)


LONGEST = {
    "record": 0.5,
    "import": 1.0,
    "migrate": 0.7,
    "backup": 0.4,
    "erase": 0.4,
}  # seconds: longer than one piece of the work


class _Enough(Exception):
    """Ends a piece of work after it was acknowledged once."""


def load(folder: Path) -> None:
    """Do each work once in this process, so that its copies have loaded what they need: they live for a moment."""
    for job, (work, _) in JOBS.items():
        url, said = f"sqlite:///{folder / 'loaded.db'}", []
        wipe(url)
        if job == "migrate":
            make_first_version(url, [Stain("husk")])

        def say(what: object, said: list[object] = said) -> None:
            said.append(what)
            if len(said) > 1:
                raise _Enough

        with contextlib.suppress(_Enough):
            work(url, folder, say)
        wipe(url)


def main(url: str, kills: int, seed: int) -> None:
    """Kill that many children, a fresh book now and then; says how far it came every hundred."""
    os.umask(0o077)
    rng = random.Random(seed)
    jobs = [job for job in JOBS if job != "backup" or url.startswith("sqlite")]
    done: Counter[str] = Counter()
    with tempfile.TemporaryDirectory(prefix="kills") as place:
        folder = Path(place)
        make_bundles(folder)
        load(folder)
        for number in range(kills):
            job = jobs[number % len(jobs)]
            own = f"{url}-{job}" if url.startswith("sqlite") else url
            often = 3 if job == "import" else 12  # it has few bundles
            if number // len(jobs) % often == 0 or not url.startswith("sqlite"):
                wipe(own)
            done[f"{job}, acknowledged"] += len(kill(job, own, folder, rng, longest=LONGEST[job]))
            done[job] += 1
            if (number + 1) % 100 == 0:
                print(number + 1, "killed, all whole so far:", dict(done), flush=True)
        for one in folder.glob("*"):
            one.unlink()
    print(dict(done), "all whole")


@contextlib.contextmanager
def store(url: str) -> Iterator[str]:
    """The URL of a book; of a throw-away one where only the kind of store is told."""
    if url == "sqlite":
        with tempfile.TemporaryDirectory(prefix="killed") as place:
            yield f"sqlite:///{place}/lab.db"
    elif url == "postgresql":
        from tests.conftest import _server_binaries, _throwaway_server

        with _throwaway_server(_server_binaries() or Path()) as server:
            yield f"{server}/postgres"
    else:
        yield url


if __name__ == "__main__":
    with store(sys.argv[1]) as asked:
        main(asked, int(sys.argv[2]), int(sys.argv[3]) if len(sys.argv) > 3 else 20261125)
