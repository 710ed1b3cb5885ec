"""Opening makes, migrates, or refuses; whoever comes first does it, and nothing is touched before it is checked."""

from __future__ import annotations

import multiprocessing
import os
import shutil
import sqlite3
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import create_engine, make_url, text

from stainbook.book import backup, book_tables, open_book, upgrade
from stainbook.errors import BookError
from stainbook.records import Stain

NOW = book_tables.REVISION
NEXT_STEP = f"""
import sqlalchemy as sa
from alembic import op

revision = "later"
down_revision = "{NOW}"


def upgrade():
    op.add_column("records", sa.Column("later", sa.Text))
    op.execute("UPDATE records SET later = 'moved'")
"""


def _make_next_version(folder: Path, *, step: str = NEXT_STEP) -> Path:
    shutil.copytree(upgrade.MIGRATIONS, folder, ignore=shutil.ignore_patterns("__pycache__"))
    (folder / "versions" / "later.py").write_text(step)
    return folder


@pytest.fixture
def next_version(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """This package as its next version will be: with one more migration."""
    folder = _make_next_version(tmp_path / "migrations")
    monkeypatch.setattr(upgrade, "MIGRATIONS", folder)
    monkeypatch.setattr(book_tables, "REVISION", "later")
    return folder


@pytest.fixture
def old_book(book_url: str, monkeypatch: pytest.MonkeyPatch) -> str:
    monkeypatch.setenv(upgrade.DUMPED, "yes")
    with open_book(book_url) as book:
        book.add_stains([Stain("husk"), Stain("teasel")])
    return book_url


def _ask(url: str, query: str) -> list[tuple[object, ...]]:
    engine = create_engine(url)
    try:
        with engine.begin() as connection:
            result = connection.execute(text(query))
            return [tuple(row) for row in result] if result.returns_rows else []
    finally:
        engine.dispose()


def _backups(url: str) -> list[Path]:
    file = make_url(url).database
    return sorted(Path(str(file)).parent.glob("lab-revision-*"))


def test_the_migrations_end_in_the_tables_that_the_code_uses(old_book: str) -> None:
    from alembic.autogenerate import compare_metadata
    from alembic.migration import MigrationContext

    engine = create_engine(old_book)
    with engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"version_table": book_tables.VERSION_TABLE})
        assert compare_metadata(context, book_tables.metadata) == []
        assert context.get_current_revision() == book_tables.REVISION
    engine.dispose()


def test_the_revision_in_the_code_is_the_newest_step() -> None:
    from alembic.script import ScriptDirectory

    assert ScriptDirectory(str(upgrade.MIGRATIONS)).get_heads() == [book_tables.REVISION]


def test_an_up_to_date_book_opens_without_alembic_and_the_heavy_libraries(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path / 'lab.db'}"
    open_book(url).close()
    program = (
        "import sys; from stainbook.book import open_book\n"
        "print('sqlalchemy' in sys.modules)\n"
        f"with open_book({url!r}) as book: book.counts()\n"
        "print(sorted({'alembic', 'numpy', 'scipy', 'pandas', 'colour', 'streamlit'} & set(sys.modules)))"
    )
    said = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert said.stdout.split("\n")[:2] == ["False", "[]"]


def test_an_older_book_is_migrated_and_keeps_what_it_holds(old_book: str, next_version: Path) -> None:
    with open_book(old_book) as book:
        assert list(book.stains()) == ["husk", "teasel"]
    assert _ask(old_book, "SELECT name, later FROM records ORDER BY id") == [("husk", "moved"), ("teasel", "moved")]
    assert _ask(old_book, f"SELECT version_num FROM {book_tables.VERSION_TABLE}") == [("later",)]


def test_a_file_is_backed_up_once_before_it_is_migrated(tmp_path: Path, next_version: Path) -> None:
    url = f"sqlite:///{tmp_path / 'lab.db'}"
    with pytest.MonkeyPatch.context() as now:
        now.setattr(book_tables, "REVISION", NOW)
        now.setattr(upgrade, "MIGRATIONS", Path(upgrade.__file__).parent / "migrations")
        with open_book(url) as book:
            book.add_stains([Stain("husk")])
    assert _backups(url) == []  # a new book needs none
    open_book(url).close()
    open_book(url).close()
    (copy,) = _backups(url)
    assert copy.name.startswith(f"lab-revision-{NOW}-")
    assert copy.suffix == ".db"
    with closing(sqlite3.connect(copy)) as connection:
        assert connection.execute("SELECT name FROM records").fetchall() == [("husk",)]
        assert connection.execute(f"SELECT version_num FROM {book_tables.VERSION_TABLE}").fetchall() == [(NOW,)]


def test_without_a_backup_nothing_is_migrated(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    url = f"sqlite:///{tmp_path / 'lab.db'}"
    open_book(url).close()
    monkeypatch.setattr(upgrade, "MIGRATIONS", _make_next_version(tmp_path / "migrations"))
    monkeypatch.setattr(book_tables, "REVISION", "later")

    def full(source: Path, target: Path) -> None:
        target.write_bytes(b"half")
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(backup, "_copy", full)
    with pytest.raises(BookError, match=r"no backup could be made .*No space left.* left as it was"):
        open_book(url)
    assert _ask(url, f"SELECT version_num FROM {book_tables.VERSION_TABLE}") == [(NOW,)]
    assert _backups(url) == []


def test_a_step_that_fails_leaves_the_book_as_it_was(
    old_book: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    step = NEXT_STEP + "    op.execute('UPDATE no_such_table SET a = 1')\n"
    with monkeypatch.context() as broken:
        broken.setattr(upgrade, "MIGRATIONS", _make_next_version(tmp_path / "migrations", step=step))
        broken.setattr(book_tables, "REVISION", "later")
        with pytest.raises(BookError, match="no_such_table"):
            open_book(old_book)
    assert _ask(old_book, f"SELECT version_num FROM {book_tables.VERSION_TABLE}") == [(NOW,)]
    with open_book(old_book) as book:
        assert book.add_stains([Stain("flour")]) == 1


def test_a_newer_book_is_refused_and_not_touched(old_book: str) -> None:
    _ask(old_book, f"UPDATE {book_tables.VERSION_TABLE} SET version_num = '9999'")
    with pytest.raises(BookError, match=r"made by a newer version of stainbook \(revision 9999\); update stainbook"):
        open_book(old_book)
    assert _ask(old_book, "SELECT name FROM records ORDER BY id") == [("husk",), ("teasel",)]
    assert _backups(old_book) == []


def test_a_store_of_something_else_is_refused_and_not_touched(book_url: str) -> None:
    _ask(book_url, "CREATE TABLE addresses (street TEXT)")
    before = Path(str(make_url(book_url).database)).read_bytes() if book_url.startswith("sqlite") else b""
    with pytest.raises(BookError, match=r"is no book: it holds other tables \(addresses\)"):
        open_book(book_url)
    if book_url.startswith("sqlite"):
        assert Path(str(make_url(book_url).database)).read_bytes() == before


def _open_as_next_version(url: str, folder: Path) -> None:
    upgrade.MIGRATIONS = folder
    book_tables.REVISION = "later"
    open_book(url).close()


@pytest.mark.filterwarnings("ignore:This process .* is multi-threaded, use of fork")
@pytest.mark.skipif(not hasattr(os, "fork"), reason="processes are copied on POSIX only")
def test_processes_that_migrate_at_once_all_succeed(old_book: str, tmp_path: Path) -> None:
    folder = _make_next_version(tmp_path / "migrations")
    copies = multiprocessing.get_context("fork")  # of this process, which has loaded what they need
    benches = [copies.Process(target=_open_as_next_version, args=(old_book, folder)) for _ in range(4)]
    for bench in benches:
        bench.start()
    for bench in benches:
        bench.join(60)
    assert [bench.exitcode for bench in benches] == [0] * 4
    assert _ask(old_book, "SELECT count(*) FROM records WHERE later = 'moved'") == [(2,)]
    assert len(_backups(old_book)) == (1 if old_book.startswith("sqlite") else 0)


def test_threads_that_make_books_at_once_all_succeed(tmp_path: Path) -> None:
    urls = [f"sqlite:///{tmp_path / name / 'lab.db'}" for name in ("a", "a", "b", "b", "c", "c")]

    def make(url: str) -> int:
        with open_book(url) as book:
            return book.add_fit("zirconia", {})

    with ThreadPoolExecutor(len(urls)) as threads:
        assert sorted(threads.map(make, urls)) == [1, 1, 1, 2, 2, 2]
