"""What the lab writes is its owner's alone, also what an older version left open, and is whole or not there."""

from __future__ import annotations

import os
import resource
import signal
import stat
from collections.abc import Callable
from pathlib import Path

import pytest

from stainbook import private
from stainbook.book import location, open_book
from stainbook.cli import main
from stainbook.errors import InputError
from stainbook.files import write_stains
from stainbook.notices import hearing
from stainbook.records import Stain
from tests.book.test_hardship import in_a_child

pytestmark = [
    pytest.mark.skipif(os.name != "posix", reason="permissions and limits of a process are POSIX"),
    pytest.mark.filterwarnings("ignore:This process .* is multi-threaded, use of fork"),
]


def mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


@pytest.fixture(autouse=True)
def open_umask() -> Callable[[], None]:
    """As most machines have it: what is made without thought can be read by all."""
    before = os.umask(0o022)
    yield
    os.umask(before)


def test_a_new_book_its_folder_and_its_copies_are_the_owners(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path / 'lab' / 'books' / 'lab.db'}"
    with open_book(url) as book:
        book.add_stains([Stain("husk")])
        with book.transaction():
            beside = [path.name for path in (tmp_path / "lab" / "books").iterdir()]
            modes = {mode(path) for path in (tmp_path / "lab" / "books").iterdir()}
        copy, _ = book.copy_to(tmp_path / "copy.db")
    assert "lab.db-wal" in beside
    assert modes == {0o600}
    assert mode(copy) == 0o600
    assert {mode(tmp_path / "lab"), mode(tmp_path / "lab" / "books")} == {0o700}


def test_the_data_folder_is_the_owners_also_an_older_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    open_book().close()
    folder = location.data_folder()
    assert mode(folder) == 0o700
    folder.chmod(0o755)
    with hearing() as heard:
        open_book().close()
    assert mode(folder) == 0o700
    assert len(heard) == 1


def test_an_older_book_and_what_lies_beside_it_are_taken_from_others_and_it_is_told(tmp_path: Path) -> None:
    url, copy = f"sqlite:///{tmp_path / 'lab.db'}", tmp_path / "lab-revision-0002-20260101T000000000000Z.db"
    open_book(url).close()
    copy.write_bytes(b"")
    (tmp_path / "lab.db").chmod(0o644)
    with hearing() as heard:
        open_book(url).close()
        open_book(url).close()
    assert {mode(tmp_path / "lab.db"), mode(copy)} == {0o600}
    assert len(heard) == 1
    assert "could be read by others" in heard[0]


def test_a_book_that_a_group_was_given_stays_the_groups(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path / 'lab.db'}"
    open_book(url).close()
    (tmp_path / "lab.db").chmod(0o660)
    open_book(url).close()
    assert mode(tmp_path / "lab.db") == 0o660


def test_a_file_that_is_no_book_keeps_its_mode(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "notes.txt"
    file.write_text("husk 1:3\n" * 500)
    assert main(["--book", f"sqlite:///{file}", "book", "list"]) == 3
    assert mode(file) == 0o644
    assert capsys.readouterr().out == ""


@pytest.mark.parametrize(("before", "after"), [(None, 0o600), (0o644, 0o600), (0o640, 0o640), (0o600, 0o600)])
def test_a_written_file_is_the_owners_or_as_it_was_shared(tmp_path: Path, before: int | None, after: int) -> None:
    path = tmp_path / "stains.yaml"
    if before is not None:
        path.write_text("")
        path.chmod(before)
    write_stains(path, [Stain("husk")])
    assert mode(path) == after
    assert [one.name for one in tmp_path.iterdir()] == ["stains.yaml"]


def test_a_link_is_written_through_and_a_device_is_no_file(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "link.csv").symlink_to(tmp_path / "real.csv")
    private.write(tmp_path / "link.csv", "sample\n")
    assert (tmp_path / "link.csv").is_symlink()
    assert (tmp_path / "real.csv").read_text() == "sample\n"
    private.write("/dev/stdout", "to the pipe\n")
    assert "to the pipe" in capfd.readouterr().out


def test_a_full_disk_leaves_the_file_as_it_was_and_nothing_beside_it(tmp_path: Path) -> None:
    def write() -> object:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (10_000, 10_000))
        write_stains(tmp_path / "stains.yaml", [Stain("husk", notes="x" * 50_000)])
        return "written"

    (tmp_path / "stains.yaml").write_text("as it was")
    said = in_a_child(write)
    assert said.startswith("InputError: ")
    assert "cannot be written" in said
    assert [one.name for one in tmp_path.iterdir()] == ["stains.yaml"]
    assert (tmp_path / "stains.yaml").read_text() == "as it was"


def test_a_place_that_is_not_there_is_one_line(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be written"):
        private.write(tmp_path / "nowhere" / "stains.yaml", "")
