"""Accounts and the list of what was done, as documents."""

from __future__ import annotations

from stainbook.work.app.accounts import Accounts
from stainbook.work.documents.account_schemas import AccountShown, AccountsResult, LogShown


def accounts_shown(accounts: Accounts) -> AccountsResult:
    """All accounts."""
    found = [
        AccountShown(account=a.name, role=a.role, password=a.has_password, subject=a.subject) for a in accounts.all()
    ]
    return AccountsResult(accounts=found)


def log_shown(accounts: Accounts, most: int | None) -> AccountsResult:
    """The newest lines of the list, the oldest first."""
    lines = accounts.log(most)
    return AccountsResult(
        log=[LogShown(at=o.at, deed=o.deed, account=o.account, about=o.about, address=o.address) for o in lines]
    )
