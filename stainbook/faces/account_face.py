"""``lab.accounts``: who may sign in at the lab's server, and the list of what was done there."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from stainbook.errors import InputError
from stainbook.faces.lab_view import LabFace, LabView
from stainbook.language import say

if TYPE_CHECKING:
    from stainbook.work.app.accounts import Accounts
    from stainbook.work.documents.account_schemas import AccountsResult

AT_THE_SERVER = "at the server"  # by whom, where nobody signed in: who may use its file


class AccountsFace(LabFace):
    """The accounts of the lab's server, in a file that no export holds."""

    def __init__(self, lab: LabView, path: Path | str | None = None) -> None:
        super().__init__(lab)
        self._path = path

    @property
    def _accounts(self) -> Accounts:
        from stainbook.work.app.accounts import Accounts, accounts_file
        from stainbook.work.app.sign_in import gate

        here = gate()
        return here.accounts if here is not None and self._path is None else Accounts(accounts_file(self._path))

    @property
    def _by(self) -> str:
        return self._lab.author if self._lab.role and self._lab.author else AT_THE_SERVER

    def all(self) -> AccountsResult:
        """Give all accounts.

        >>> lab.accounts("accounts.db").all().accounts
        []
        """
        from stainbook.work.app.account_views import accounts_shown

        return accounts_shown(self._accounts)

    def add(self, name: str, role: str, *, password: str | None = None, subject: str | None = None) -> AccountsResult:
        """Make an account with a password, or for somebody whom the OpenID Connect provider names.

        Raises InputError for a name that is taken and for a weak password.

        >>> accounts = lab.accounts("added.db")
        >>> [(one.account, one.role) for one in accounts.add("bench-1", "lead", subject="bench-1@lab.example").accounts]
        [('bench-1', 'lead')]
        """
        from stainbook.work.app.account_views import accounts_shown

        self._accounts.add(name, role, password=password, subject=subject, by=self._by)
        return accounts_shown(self._accounts)

    def set_role(self, name: str, role: str) -> AccountsResult:
        """Give an account another role; it holds at once. Raises InputError where nobody would lead.

        >>> accounts = lab.accounts("roles.db")
        >>> for name in ("bench-1", "bench-2"):
        ...     before = accounts.add(name, "lead", subject=name)
        >>> [one.role for one in accounts.set_role("bench-2", "reader").accounts]
        ['lead', 'reader']
        """
        from stainbook.work.app.account_views import accounts_shown

        self._accounts.set_role(name, role, by=self._by)
        return accounts_shown(self._accounts)

    def set_password(self, name: str, password: str) -> AccountsResult:
        """Give an account another password; its sessions end. Raises InputError for a weak one.

        >>> accounts = lab.accounts("passwords.db")
        >>> before = accounts.add("bench-1", "lead", subject="bench-1")
        >>> accounts.set_password("bench-1", "four words nobody guesses").accounts[0].password
        True
        """
        from stainbook.work.app.account_views import accounts_shown

        self._accounts.set_password(name, password, by=self._by)
        return accounts_shown(self._accounts)

    def change_own(self, old: str, new: str) -> None:
        """Give whoever is signed in another password; their sessions end, this one too.

        Raises InputError where nobody is signed in, for a wrong old one and for a weak new one.

        >>> lab.accounts("own.db").change_own("four words of before", "four words nobody guesses")
        Traceback (most recent call last):
        stainbook.errors.InputError: nobody is signed in here: `stainbook account password NAME` sets one
        """
        from stainbook.work.app.sign_in import gate

        here, who = gate(), self._lab.author
        if here is None or not self._lab.role or not who:
            raise InputError(say("nobody is signed in here: `stainbook account password NAME` sets one"))
        here.change_password(who, old, new, "")

    def remove(self, name: str) -> AccountsResult:
        """Take an account away; its sessions end, what it stored stays. Raises InputError for the only lead.

        >>> accounts = lab.accounts("removed.db")
        >>> for name in ("bench-1", "bench-2"):
        ...     before = accounts.add(name, "lead", subject=name)
        >>> len(accounts.remove("bench-2").accounts)
        1
        """
        from stainbook.work.app.account_views import accounts_shown

        self._accounts.remove(name, by=self._by)
        return accounts_shown(self._accounts)

    def log(self, most: int | None = None) -> AccountsResult:
        """Give the newest lines of the list: sign-ins, refusals, changes of roles, exports, erasures.

        Raises BookError where a line was changed behind the list's back.

        >>> accounts = lab.accounts("log.db")
        >>> before = accounts.add("bench-1", "lead", subject="bench-1")
        >>> [(one.deed, one.about) for one in accounts.log().log]
        [('account added', 'bench-1: lead')]
        """
        from stainbook.work.app.account_views import log_shown

        return log_shown(self._accounts, most)
