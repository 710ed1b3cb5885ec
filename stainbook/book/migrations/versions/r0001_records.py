"""The journal: stains, bodies, chips, readings, guide tabs, fits and imports.

Written out, not taken from ``schema``: a step must stay what it was when books were made with it.
"""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Make the table."""
    op.create_table(
        "records",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer, "sqlite"), primary_key=True),
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
        sa.UniqueConstraint("kind", "name", "revision", name="one_revision_once"),
    )
