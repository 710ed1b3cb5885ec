"""Runs the steps on the connection, and in the transaction, that ``upgrade`` hands over."""

from alembic import context

from stainbook.book.book_tables import VERSION_TABLE

context.configure(connection=context.config.attributes["connection"], version_table=VERSION_TABLE)
context.run_migrations()
