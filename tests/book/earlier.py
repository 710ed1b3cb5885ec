"""Books as earlier versions of the tables made them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from pathlib import Path

from sqlalchemy import text

from stainbook.book import chain, journal, upgrade
from stainbook.book.access import entry_of
from stainbook.book.codec import digest
from stainbook.book.engines import connect
from stainbook.book.journal import Entry
from stainbook.book.location import locate
from stainbook.records import Stain

WHEN = "2026-01-01T00:00:00.000000+00:00"


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


def make_third_version(url: str, entries: Iterable[tuple[str, Entry]], *, erased: Mapping[int, str]) -> None:
    """Make a book of revision 0003: the rows of all labs are counted and chained as one.

    entries : lab and what it says. erased : what is left of rows, by their number, that were erased.
    """
    from alembic import command

    engines = connect(locate(url), timeout=30)
    config = upgrade._config()
    with engines.writing() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, "0003")
        links, revisions = chain.START, Counter[tuple[str, str, str]]()
        for number, (lab, entry) in enumerate(entries, 1):
            revisions[lab, entry.kind, entry.name] += 1
            revision = revisions[lab, entry.kind, entry.name]
            row = journal.row_of(entry, number=number, lab=lab, revision=revision, author="bench-1", now=WHEN)
            links = row["chain"] = chain.link(links, row["seal"])
            if number in erased:
                row |= {"content": erased[number], "hash": digest(erased[number]), "salt": ""}
            columns = ", ".join(row)
            connection.execute(text(f"INSERT INTO records ({columns}) VALUES (:{', :'.join(row)})"), row)
        connection.execute(text("UPDATE head SET last = :last, chain = :chain"), {"last": number, "chain": links})
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
        for table in ("records_0001", "records", "head", "searched", "stainbook_revision"):
            connection.execute(text(f"DROP TABLE IF EXISTS {table} CASCADE"))
    engines.close()
