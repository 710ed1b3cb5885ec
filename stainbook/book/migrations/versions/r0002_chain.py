"""Whose each record is, the chain over all of them, and the tables that searches run on."""

import hashlib
import json
import secrets

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"

_SEALED = (
    "id", "lab", "kind", "name", "revision", "stage", "material", "lot", "created_at", "author", "hash", "source",
)  # fmt: skip


def _number() -> sa.types.TypeEngine[int]:
    return sa.BigInteger().with_variant(sa.Integer, "sqlite")


def upgrade() -> None:
    """Widen the journal, chain what it holds, add the tables beside it."""
    op.rename_table("records", "records_0001")
    if op.get_context().dialect.name == "postgresql":  # there names of keys belong to the whole database
        op.drop_constraint("one_revision_once", "records_0001")
        op.execute("ALTER INDEX records_pkey RENAME TO records_0001_pkey")
    _make_records()
    _make_head_and_indices()
    _carry_over(op.get_bind())
    op.drop_table("records_0001")


def _make_records() -> None:
    op.create_table(
        "records",
        sa.Column("id", _number(), primary_key=True, autoincrement=False),
        sa.Column("lab", sa.Text, nullable=False),
        sa.Column("kind", sa.String(20), nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.Column("stage", sa.Text),
        sa.Column("material", sa.Text),
        sa.Column("lot", sa.Text),
        sa.Column("created_at", sa.String(32), nullable=False),
        sa.Column("author", sa.Text, nullable=False),
        sa.Column("hash", sa.String(64), nullable=False),
        sa.Column("content", sa.Text, nullable=False),
        sa.Column("source", sa.Text),
        sa.Column("data", sa.LargeBinary),
        sa.Column("salt", sa.String(32), nullable=False),
        sa.Column("seal", sa.String(64), nullable=False),
        sa.Column("chain", sa.String(64), nullable=False),
        sa.UniqueConstraint("lab", "kind", "name", "revision", name="one_revision_once"),
    )


def _make_head_and_indices() -> None:
    op.create_table(
        "head",
        sa.Column("id", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("last", _number(), nullable=False),
        sa.Column("chain", sa.String(64), nullable=False),
    )
    op.create_table(
        "terms",
        sa.Column("term", _number(), primary_key=True, autoincrement=False),
        sa.Column("record", _number(), primary_key=True, autoincrement=False),
        sqlite_with_rowid=False,
    )
    op.create_table(
        "colours",
        sa.Column("space", _number(), primary_key=True, autoincrement=False),
        sa.Column("cell", _number(), primary_key=True, autoincrement=False),
        sa.Column("record", _number(), primary_key=True, autoincrement=False),
        sa.Column("L", sa.Float(53), nullable=False),
        sa.Column("a", sa.Float(53), nullable=False),
        sa.Column("b", sa.Float(53), nullable=False),
        sqlite_with_rowid=False,
    )
    op.create_index("ix_colours_record", "colours", ["record"])


def _carry_over(connection: sa.Connection) -> None:
    """Copy the journal, counting its rows anew without gaps, and chain them."""
    old = sa.Table("records_0001", sa.MetaData(), autoload_with=connection)
    new = sa.Table("records", sa.MetaData(), autoload_with=connection)
    chain, number = "0" * 64, 0
    for found in connection.execute(sa.select(old).order_by(old.c.id)).mappings().all():
        number += 1
        row = {**found, "id": number, "lab": "", "salt": secrets.token_hex(16)}
        said = json.dumps({name: row[name] for name in _SEALED}, sort_keys=True, separators=(",", ":"))
        row["seal"] = hashlib.sha256(f"{row['salt']}{said}".encode()).hexdigest()
        chain = row["chain"] = hashlib.sha256(f"{chain}{row['seal']}".encode()).hexdigest()
        connection.execute(sa.insert(new), row)
    head = sa.Table("head", sa.MetaData(), autoload_with=connection)
    connection.execute(sa.insert(head), {"id": 1, "last": number, "chain": chain})
