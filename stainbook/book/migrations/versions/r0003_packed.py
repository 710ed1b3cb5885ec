"""What searches run on, packed: many rows of the journal in one row. It is made again from the journal after this."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def _number() -> sa.types.TypeEngine[int]:
    return sa.BigInteger().with_variant(sa.Integer, "sqlite")


def upgrade() -> None:
    """Put the packed tables in the place of the plain ones."""
    op.drop_table("terms")
    op.drop_table("colours")
    op.create_table(
        "terms",
        sa.Column("term", _number(), primary_key=True, autoincrement=False),
        sa.Column("piece", _number(), primary_key=True, autoincrement=False),
        sa.Column("packed", sa.LargeBinary, nullable=False),
        sqlite_with_rowid=False,
    )
    op.create_table(
        "colours",
        sa.Column("space", _number(), primary_key=True, autoincrement=False),
        sa.Column("cell", _number(), primary_key=True, autoincrement=False),
        sa.Column("piece", _number(), primary_key=True, autoincrement=False),
        sa.Column("packed", sa.LargeBinary, nullable=False),
        sqlite_with_rowid=False,
    )
