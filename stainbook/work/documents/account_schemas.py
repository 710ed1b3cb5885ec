"""What the commands on accounts print as JSON."""

from __future__ import annotations

from stainbook.work.documents.document_parts import Document, Result


class AccountShown(Result):
    """Somebody who may sign in at the lab's server; ``subject`` is who they are to the OpenID Connect provider."""

    account: str
    role: str
    password: bool = False
    subject: str | None = None


class LogShown(Result):
    """One line of the list of what was done at the server."""

    at: str
    deed: str
    account: str
    about: str = ""
    address: str = ""


class AccountsResult(Document):
    """``stainbook account ...``: all accounts as they are now; ``log`` prints the list instead."""

    accounts: list[AccountShown] = []
    log: list[LogShown] = []


class PreparedResult(Document):
    """``stainbook server prepare``: the book as the lab's app opens it, with ``STAINBOOK_LAB`` set to the lab."""

    lab: str
    role: str
    book: str


COMMANDS: dict[str, type[Document]] = {
    f"account {name}": AccountsResult for name in ("add", "list", "role", "password", "remove", "log")
} | {"server prepare": PreparedResult}
