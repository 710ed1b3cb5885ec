"""The old books as they are kept, and put where a program can open them.

A book is kept as the statements that make it, packed by gzip; what its rows hold as bytes (fits, photos) lies beside,
each once, in a file named by its SHA-256, and stands in the statements as ``@SHA-256@`` in place of its digits.
"""

from __future__ import annotations

import contextlib
import gzip
import hashlib
import re
import shutil
import sqlite3
import zipfile
from pathlib import Path

DATA = Path(__file__).parent / "data"
BYTES, TOLD = DATA / "bytes", DATA / "told"
CASES = {"revision-1": "first-cases", "revision-3": "cases"}  # folders of case files
EXCHANGE = "exchange.zip"
SETS = ("revision-1", "revision-2", "revision-3", "exchange", "postgresql")
AS_TOLD_OF = {"exchange": "revision-3", "postgresql": "revision-3"}  # the same book on another way
_LONG = 200  # digits from which bytes are kept beside
_HEX = re.compile(rf"([0-9a-fA-F]{{{_LONG},}})(?=')")
_NAME = re.compile(r"@([0-9a-f]{64})@")
_TIME = (2026, 11, 26, 0, 0, 0)  # of all files in an archive


# ---------------------------------------------------------------- kept


def keep_statements(name: str, statements: str) -> None:
    """Keep the statements that make a book."""
    text = _HEX.sub(lambda found: f"@{_kept(bytes.fromhex(found[1]))}@", statements)
    DATA.mkdir(exist_ok=True)
    (DATA / f"{name}.sql.gz").write_bytes(gzip.compress(text.encode("utf-8"), 9, mtime=0))


def sqlite_statements(file: Path) -> str:
    """The statements that make a book in a file, rows in the order of their numbers."""
    with contextlib.closing(sqlite3.connect(file)) as connection:
        return "\n".join(connection.iterdump()) + "\n"


def postgresql_statements(dump: str) -> str:
    """A plain dump without what belongs to one server or its tools: settings, owners, ``psql``'s own commands."""
    lines = [line for line in dump.split("\n") if not line.startswith(("--", "\\", "SET ", "SELECT pg_catalog."))]
    text = re.sub(r"\n{2,}", "\n", "\n".join(lines)).strip("\n")
    return f"-- pg_dump --inserts --no-owner --no-privileges, without the settings of its server\n{text}\n"


def keep_folder(name: str, folder: Path) -> None:
    """Keep a folder of case files and readings as it is, without the book that lies in it."""
    target = DATA / name
    shutil.rmtree(target, ignore_errors=True)
    shutil.copytree(folder, target, ignore=shutil.ignore_patterns("lab.db*", "*.part", "exchange"))


def keep_exchange(folder: Path) -> None:
    """Keep an exported folder as one archive; its packed files lie beside, as those of the books do."""
    with zipfile.ZipFile(DATA / EXCHANGE, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as archive:
        for path in sorted(one for one in folder.rglob("*") if one.is_file()):
            inside = path.relative_to(folder).as_posix()
            data = path.read_bytes()
            if path.suffix == ".bin":
                _kept(data)
                data = b""
            archive.writestr(zipfile.ZipInfo(inside, _TIME), data, zipfile.ZIP_DEFLATED)


def _kept(data: bytes) -> str:
    name = hashlib.sha256(data).hexdigest()
    BYTES.mkdir(parents=True, exist_ok=True)
    (BYTES / f"{name}.bin").write_bytes(data)
    return name


# ---------------------------------------------------------------- opened


def statements(name: str) -> str:
    """The statements of a kept book, whole."""
    text = gzip.decompress((DATA / f"{name}.sql.gz").read_bytes()).decode("utf-8")
    return _NAME.sub(lambda found: (BYTES / f"{found[1]}.bin").read_bytes().hex(), text)


def put(name: str, folder: Path, *, url: str | None = None) -> str:
    """Put a kept set into a folder, with the case files that it has; gives the URL of its book.

    url : of an empty PostgreSQL database for the set ``postgresql``
    """
    folder.mkdir(parents=True, exist_ok=True)
    if name in CASES:
        shutil.copytree(DATA / CASES[name], folder, dirs_exist_ok=True)
    if name == "postgresql":
        assert url is not None, "a PostgreSQL book needs a database"
        _run_on_server(url, statements(name))
        return url
    if name == "exchange":
        _unpack(folder / "exchange")
        return "sqlite:///lab.db"  # made by whoever imports it
    with contextlib.closing(sqlite3.connect(folder / "lab.db")) as connection:
        connection.executescript(statements(name))
    return "sqlite:///lab.db"


def opened(name: str, url: str) -> str:
    """Open a set's book as a lab would, an exchange by taking it into a new book; gives the URL."""
    from stainbook.book import open_book
    from tests.old_books.told import run

    if name == "exchange":
        status, _, said = run(url, "book", "import", "exchange")
        assert status == 0, said
    open_book(url).close()
    return url


def _run_on_server(url: str, text: str) -> None:
    import psycopg

    with psycopg.connect(url.replace("+psycopg", ""), autocommit=True) as connection:
        connection.execute(text.encode("utf-8"))


def _unpack(folder: Path) -> None:
    with zipfile.ZipFile(DATA / EXCHANGE) as archive:
        archive.extractall(folder)
    for path in folder.rglob("*.bin"):
        shutil.copyfile(BYTES / path.name, path)
