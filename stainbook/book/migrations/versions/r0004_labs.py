"""Each lab counts and chains its own rows from here on, and what searches run on names the lab.

No row is changed: those up to here keep the numbers and the one chain that all labs had, and each lab's own chain
begins where that one ends. What searches run on is made again from the journal after this.
"""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"

_COLUMNS = (
    "lab, id, kind, name, revision, stage, material, lot, created_at, author, hash, content, source, data, salt, seal, "
    "chain"
)


def _number() -> sa.types.TypeEngine[int]:
    return sa.BigInteger().with_variant(sa.Integer, "sqlite")


def upgrade() -> None:
    """Number rows by lab, give each lab an end of its chain, put one table in the place of two."""
    op.drop_table("terms")
    op.drop_table("colours")
    op.create_table(
        "searched",
        sa.Column("shared", sa.Boolean, primary_key=True),
        sa.Column("what", sa.Text, primary_key=True),
        sa.Column("lab", sa.Text, primary_key=True),
        sa.Column("piece", _number(), primary_key=True, autoincrement=False),
        sa.Column("packed", sa.LargeBinary, nullable=False),
    )
    if op.get_context().dialect.name == "postgresql":
        op.drop_constraint("records_pkey", "records")
        op.create_primary_key("records_pkey", "records", ["lab", "id"])
        op.execute('ALTER TABLE records ALTER COLUMN name TYPE text COLLATE "C"')  # names are found by how they begin
        op.execute("ALTER TABLE searched ALTER COLUMN packed SET STORAGE EXTERNAL")  # it hardly gets smaller
    else:
        _number_by_lab()
    _end_by_lab()


def _number_by_lab() -> None:
    """SQLite changes no key of a table: the rows are copied as they are into one that has it."""
    op.rename_table("records", "records_0003")
    op.create_table(
        "records",
        sa.Column("lab", sa.Text, primary_key=True),
        sa.Column("id", _number(), primary_key=True, autoincrement=False),
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
    op.execute(f"INSERT INTO records ({_COLUMNS}) SELECT {_COLUMNS} FROM records_0003 ORDER BY id")
    op.drop_table("records_0003")


def _end_by_lab() -> None:
    """The old end stays, under the name of all labs; every lab that has rows goes on from it."""
    op.rename_table("head", "head_0003")
    if op.get_context().dialect.name == "postgresql":  # there names of keys belong to the whole database
        op.execute("ALTER INDEX head_pkey RENAME TO head_0003_pkey")
    op.create_table(
        "head",
        sa.Column("lab", sa.Text, primary_key=True),
        sa.Column("last", _number(), nullable=False),
        sa.Column("chain", sa.String(64), nullable=False),
        sa.Column("begun", _number(), nullable=False),
    )
    some = "FROM head_0003 WHERE last > 0"
    op.execute(f"INSERT INTO head (lab, last, chain, begun) SELECT '*', last, chain, 0 {some}")
    labs = "(SELECT DISTINCT lab FROM records) AS labs"
    op.execute(
        "INSERT INTO head (lab, last, chain, begun) "
        f"SELECT labs.lab, ended.last, ended.chain, ended.last FROM (SELECT * {some}) AS ended, {labs}"
    )
    op.drop_table("head_0003")
