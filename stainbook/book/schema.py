"""The table of the book, as the newest migration leaves it.

Everything kept is a row of one append-only journal. A thing has a kind and a name and is revised by
a new row; nothing is edited in place. ``content`` is the record itself; the columns beside it are
copies of what is searched. Row order is the order of commits, since writers take turns.
"""

from __future__ import annotations

from sqlalchemy import BigInteger, Column, Integer, LargeBinary, MetaData, String, Table, Text, UniqueConstraint

REVISION = "0001"  # of the newest migration: a book that has it is opened without Alembic
VERSION_TABLE = "stainbook_revision"

metadata = MetaData()

records = Table(
    "records",
    metadata,
    Column("id", BigInteger().with_variant(Integer, "sqlite"), primary_key=True),
    Column("kind", String(20), nullable=False),  # stain, body, chip, reading, tab, fit, import
    Column("name", Text, nullable=False),  # of the stain, body, chip; of a reading the sample; of a fit its scope
    Column("revision", Integer, nullable=False),  # 1, 2, ... within kind and name
    Column("stage", Text),
    Column("material", Text),
    Column("lot", Text),
    Column("created_at", String(32), nullable=False),  # UTC, ISO 8601 with microseconds
    Column("author", Text, nullable=False),
    Column("hash", String(64), nullable=False),  # SHA-256 of content and data
    Column("content", Text, nullable=False),  # canonical JSON
    Column("source", Text),  # file and row it came from, for messages; no part of the content
    Column("data", LargeBinary),  # arrays of a fit
    UniqueConstraint("kind", "name", "revision", name="one_revision_once"),
)
