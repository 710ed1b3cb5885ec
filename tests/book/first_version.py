"""Books as the first version of the tables made them."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from sqlalchemy import text

from stainbook.book import upgrade
from stainbook.book.access import entry_of
from stainbook.book.engines import connect
from stainbook.book.location import locate
from stainbook.records import Stain


def make_first_version(url: str, stains: Iterable[Stain]) -> None:
    """Make a book of revision 0001 that holds some stains."""
    from alembic import command

    engines = connect(locate(url), timeout=30)
    config = upgrade._config()
    with engines.writing() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, "0001")
        rows = [
            {"name": one.name, "hash": entry.hash, "content": entry.content}
            for one in stains
            for entry in [entry_of(one)]
        ]
        connection.execute(
            text(
                "INSERT INTO records (kind, name, revision, created_at, author, hash, content) "
                "VALUES ('stain', :name, 1, '2026-01-01T00:00:00.000000+00:00', 'bench-1', :hash, :content)"
            ),
            rows,
        )
    engines.close()


def wipe(url: str) -> None:
    """Take away whatever book there is."""
    if url.startswith("sqlite"):
        file = Path(url.removeprefix("sqlite:///"))
        for path in file.parent.glob(f"{file.name}*"):
            path.unlink()
        for path in file.parent.glob(f"{file.stem}-revision-*"):
            path.unlink()
        return
    engines = connect(locate(url), timeout=30)
    with engines.writing() as connection:
        for table in ("records_0001", "records", "head", "terms", "colours", "stainbook_revision"):
            connection.execute(text(f"DROP TABLE IF EXISTS {table} CASCADE"))
    engines.close()
