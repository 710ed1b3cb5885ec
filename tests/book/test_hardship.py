"""Disks that are full, folders that may not be written, servers that go and come back, copies while others write."""

from __future__ import annotations

import io
import os
import resource
import shlex
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from stainbook.book import open_book
from stainbook.cli import main
from stainbook.errors import BookError
from stainbook.records import Stain
from tests.book.worked import outcome
from tests.conftest import _server_binaries, _throwaway_server

pytestmark = pytest.mark.filterwarnings("ignore:This process .* is multi-threaded, use of fork")


def in_a_child(work: Callable[[], object]) -> str:
    """What a piece of work says, or the line it fails with, in a process of its own."""
    reader, writer = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            said = str(work())
        except BaseException as error:
            said = f"{type(error).__name__}: {error}"
        os.write(writer, said.encode())
        os._exit(0)
    os.close(writer)
    with os.fdopen(reader, "rb") as stream:
        said = stream.read().decode()
    os.waitpid(child, 0)
    return said


def fill_until_it_fails(url: str, largest: int) -> str:
    """Write with a limit on the size of files; gives how many steps were acknowledged, and what was said then."""
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (largest, largest))
    done = 0
    with open_book(url) as book:
        try:
            while True:
                book.add_outcomes([outcome(f"W-{done}", note="x" * 4000)])
                done += 1
        except BookError as error:
            return f"{done} {error}"


@pytest.mark.skipif(not hasattr(os, "fork"), reason="limits of a process are POSIX")
def test_a_full_disk_loses_nothing_that_was_acknowledged(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path / 'lab.db'}"
    open_book(url).close()
    said, _, line = in_a_child(lambda: fill_until_it_fails(url, 600_000)).partition(" ")
    assert int(said) > 5
    assert "cannot be" in line
    assert "\n" not in line
    with open_book(url) as book:
        assert len(book.outcomes()) in (int(said), int(said) + 1)  # the last may be whole though not acknowledged
        assert book.verify().faults == ()
        assert book.add_stains([Stain("husk")]) == 1


@pytest.mark.skipif(not hasattr(os, "fork"), reason="limits of a process are POSIX")
def test_a_full_disk_leaves_no_half_backup(tmp_path: Path) -> None:
    def copy() -> object:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        with open_book(url) as book:
            resource.setrlimit(resource.RLIMIT_FSIZE, (100_000, 100_000))
            return book.copy_to(tmp_path / "copy.db")

    url = f"sqlite:///{tmp_path / 'lab.db'}"
    with open_book(url) as book:
        book.add_outcomes(outcome(f"W-{n}", note="x" * 4000) for n in range(40))
    said = in_a_child(copy)
    assert said.startswith("BookError: ")
    assert "no backup could be made" in said
    assert sorted(path.name for path in tmp_path.iterdir()) == ["lab.db"]


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """A folder that other users reach: the tests may run as root, whom no permission stops."""
    folder = Path(tempfile.mkdtemp(prefix="stainbook-test-"))
    folder.chmod(0o755)
    yield folder
    shutil.rmtree(folder)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="users and permissions are POSIX")
def test_a_folder_that_may_not_be_written_is_told(open_folder: Path) -> None:
    def write() -> object:
        if os.geteuid() == 0:
            os.setgid(65534)
            os.setuid(65534)
        with open_book(f"sqlite:///{open_folder / 'lab.db'}") as book:
            return book.add_stains([Stain("husk")])

    with open_book(f"sqlite:///{open_folder / 'lab.db'}") as book:
        book.add_stains([Stain("teasel")])
    (open_folder / "lab.db").chmod(0o444)
    open_folder.chmod(0o555)
    said = in_a_child(write)
    open_folder.chmod(0o755)
    assert said.startswith("BookError: book ")
    assert "read" in said
    assert "\n" not in said


@pytest.mark.postgresql
def test_a_server_that_goes_is_told_and_one_that_comes_back_is_used_again() -> None:
    pytest.importorskip("psycopg", reason="the PostgreSQL driver is not installed")
    binaries = _server_binaries()
    if binaries is None:
        pytest.skip("no PostgreSQL server on this machine (apt-get install postgresql)")
    with _throwaway_server(binaries) as url, open_book(f"{url}/postgres") as book:
        book.add_stains([Stain("husk")])
        data = _data_folder(url)
        options = " ".join(shlex.quote(one) for one in shlex.split((data / "postmaster.opts").read_text())[3:])
        _control(binaries, data, "stop", "-m", "fast")
        for _ in range(2):
            with pytest.raises(BookError, match=r"no server answers there|lost its server"):
                book.add_stains([Stain("teasel")])
        _control(binaries, data, "start", "-l", str(data.parent / "log"), "-o", options)
        assert book.add_stains([Stain("teasel")]) == 1
        assert list(book.stains()) == ["husk", "teasel"]
        assert book.verify().faults == ()


def _data_folder(url: str) -> Path:
    import psycopg

    with psycopg.connect(f"{url.replace('+psycopg', '')}/postgres") as connection:
        (found,) = connection.execute("SHOW data_directory").fetchone() or ("",)
    return Path(str(found))


def _control(binaries: Path, data: Path, *arguments: str) -> None:
    as_user = ["runuser", "-u", "postgres", "--"] if os.geteuid() == 0 else []
    quiet = {"stdin": subprocess.DEVNULL, "stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    command = [*as_user, str(binaries / "pg_ctl"), "-w", "-D", str(data), *arguments]
    subprocess.run(command, check=True, cwd=data.parent, timeout=60, **quiet)


def test_a_backup_while_others_write_is_whole(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path / 'lab.db'}"
    stop = threading.Event()

    def write() -> None:
        with open_book(url) as other:
            number = 0
            while not stop.is_set():
                number += 1
                with other.transaction() as step:
                    step.add_outcomes([outcome(f"W-{number}")])
                    step.add_stains([Stain(f"s{number}")])

    with open_book(url) as book:
        writer = threading.Thread(target=write)
        writer.start()
        counts = [book.copy_to(tmp_path / f"copy-{n}.db")[1] for n in range(5)]
        stop.set()
        writer.join(30)
    assert counts == sorted(counts)
    for number in range(5):
        with open_book(f"sqlite:///{tmp_path / f'copy-{number}.db'}") as copy:
            assert len(copy.outcomes()) == len(copy.stains())
            assert copy.verify().faults == ()


def test_a_backup_never_replaces_a_file(tmp_path: Path) -> None:
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}") as book:
        book.copy_to(tmp_path / "copy.db")
        with pytest.raises(BookError, match=r"copy\.db exists"):
            book.copy_to(tmp_path / "copy.db")


@pytest.mark.postgresql
def test_a_book_on_a_server_is_backed_up_by_the_servers_tools(postgresql_url: str) -> None:
    with open_book(postgresql_url) as book, pytest.raises(BookError, match="pg_dump"):
        book.copy_to(None)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="users and permissions are POSIX")
@pytest.mark.parametrize("folder_mode", [0o555, 0o755])
def test_a_read_only_book_can_be_looked_at(open_folder: Path, folder_mode: int) -> None:
    def look() -> object:
        if os.geteuid() == 0:
            os.setgid(65534)
            os.setuid(65534)
        said = [main(["--book", url, "book", *one]) for one in LOOKS]
        with open_book(url) as book:
            try:
                book.add_stains([Stain("teasel")])
            except BookError as error:
                return [*said, str(error)]
        return "it was written"

    url = f"sqlite:///{open_folder / 'lab.db'}"
    with open_book(url) as book:
        book.add_stains([Stain("husk")])
        book.add_outcomes([outcome()])
    for one in LOOKS:  # another user may not be able to load modules later
        assert main(["--book", url, "book", *one]) == 0
    (open_folder / "lab.db").chmod(0o444)
    open_folder.chmod(folder_mode)
    said = in_a_child(look)
    open_folder.chmod(0o755)
    assert said.startswith(f"[{'0, ' * len(LOOKS)}")
    assert "cannot be written: the file or its folder is read-only" in said
    assert [path.name for path in open_folder.iterdir()] == ["lab.db"]


LOOKS = (["list"], ["list", "stain"], ["show", "husk"], ["search", "husk"], ["history", "husk"], ["verify"])


@pytest.mark.skipif(not hasattr(os, "fork"), reason="users and permissions are POSIX")
def test_a_read_only_folder_of_cases_is_one_line_and_nothing_is_stored(open_folder: Path) -> None:
    def accept() -> object:
        if os.geteuid() == 0:
            os.setgid(65534)
            os.setuid(65534)
        sys.stderr = io.StringIO()
        status = main(["--book", url, "book", "accept", str(cases / "W-1.yaml"), "--by", "lab"])
        return f"{status} {sys.stderr.getvalue()}"

    cases, books = open_folder / "cases", open_folder / "books"
    cases.mkdir()
    books.mkdir()
    books.chmod(0o777)
    url = f"sqlite:///{books / 'lab.db'}"
    (cases / "W-1.yaml").write_text("case: W-1\nstage: glazed\nzones: [{tooth: 11, zone: cervical}]\n")
    with open_book(url) as book:
        book.add_stains([Stain("husk")])
    spare = open_folder / "W-2.yaml"
    spare.write_text((cases / "W-1.yaml").read_text().replace("W-1", "W-2"))
    assert main(["--book", f"sqlite:///{open_folder / 'spare.db'}", "book", "accept", str(spare), "--by", "lab"]) == 0
    (books / "lab.db").chmod(0o666)
    cases.chmod(0o555)
    said = in_a_child(accept)
    cases.chmod(0o755)
    status, line = said.split(" ", 1)
    assert (status == "2" and len(line.splitlines()) == 1 and "cannot be written" in line) or (
        status == "0" and not line
    )
    assert [path.name for path in cases.iterdir()] == ["W-1.yaml"]
