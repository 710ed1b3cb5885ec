"""Who may sign in at the lab's server, and the list of what they did there: a file of its own, outside every export.

Passwords are kept as argon2 hashes alone. The list is append-only: the file refuses to change or delete a line, and
each line is chained to the one before, so that what is done behind its back is found.
"""

from __future__ import annotations

import contextlib
import functools
import hashlib
import os
import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from stainbook import private
from stainbook.book.gate import check_text, looks, tidy
from stainbook.book.location import data_folder
from stainbook.errors import BookError, InputError, UnknownNameError
from stainbook.language import say
from stainbook.permit import LEAD, known_role

ACCOUNTS = "STAINBOOK_ACCOUNTS"  # the variable that names the file
LEAST, MOST = 12, 1000  # characters of a password; hashing a longer one costs the server its time
_START = "0" * 64
_TABLES = """
CREATE TABLE IF NOT EXISTS accounts (
  name TEXT PRIMARY KEY, looks TEXT NOT NULL UNIQUE, role TEXT NOT NULL, password TEXT, subject TEXT UNIQUE,
  stamp TEXT NOT NULL);
CREATE TABLE IF NOT EXISTS log (
  id INTEGER PRIMARY KEY, at TEXT NOT NULL, deed TEXT NOT NULL, account TEXT NOT NULL, about TEXT NOT NULL,
  address TEXT NOT NULL, chain TEXT NOT NULL);
CREATE TRIGGER IF NOT EXISTS log_stays BEFORE UPDATE ON log BEGIN SELECT RAISE(ABORT, 'the list is append-only'); END;
CREATE TRIGGER IF NOT EXISTS log_keeps BEFORE DELETE ON log BEGIN SELECT RAISE(ABORT, 'the list is append-only'); END;
"""


@dataclass(frozen=True, slots=True)
class Account:
    """Somebody who may sign in; ``stamp`` changes with what ends their sessions."""

    name: str
    role: str
    has_password: bool
    subject: str | None  # who they are to the OpenID Connect provider
    stamp: str


@dataclass(frozen=True, slots=True)
class LogLine:
    """One line of the list."""

    at: str  # UTC, ISO 8601
    deed: str
    account: str
    about: str
    address: str


def accounts_file(given: Path | str | None = None) -> Path:
    """The file of the accounts: the one given, that of the environment, else one in the user's data folder."""
    named = given or os.environ.get(ACCOUNTS)
    return Path(named).expanduser().absolute() if named else data_folder() / "accounts.db"


class Accounts:
    """The accounts of a file, which is made at the first one; several processes may share it."""

    def __init__(self, path: Path) -> None:
        self.path = path

    @contextlib.contextmanager
    def _open(self) -> Iterator[sqlite3.Connection]:
        try:
            if not self.path.exists():
                private.make_folder(self.path.parent)
                os.close(os.open(self.path, os.O_RDWR | os.O_CREAT, private.FILE))
            private.narrow(self.path)
            connection = sqlite3.connect(self.path, timeout=10, isolation_level=None)
            try:
                connection.executescript(f"PRAGMA journal_mode=WAL; PRAGMA secure_delete=ON; {_TABLES}")
                connection.execute("BEGIN IMMEDIATE")
                yield connection
                connection.execute("COMMIT")
            finally:
                connection.close()  # what was not committed is undone
        except (sqlite3.Error, OSError) as error:
            raise BookError(
                say("accounts {path} cannot be used: {reason}; name another file", path=self.path, reason=error)
            ) from error

    @contextlib.contextmanager
    def _looking(self) -> Iterator[sqlite3.Connection]:
        if not self.path.exists():
            with self._open():
                pass
        private.narrow(self.path)
        try:
            connection = sqlite3.connect(self.path, timeout=10)
            try:
                yield connection
            finally:
                connection.close()
        except sqlite3.Error as error:
            raise BookError(
                say("accounts {path} cannot be used: {reason}; name another file", path=self.path, reason=error)
            ) from error

    # ------------------------------------------------------------ who

    def all(self) -> tuple[Account, ...]:
        """All accounts by name."""
        with self._looking() as connection:
            rows = connection.execute("SELECT name, role, password, subject, stamp FROM accounts ORDER BY name")
            return tuple(Account(name, role, bool(kept), subject, stamp) for name, role, kept, subject, stamp in rows)

    def find(self, name: str) -> Account | None:
        """An account by its name, however it is typed; None where there is none."""
        seen = looks(tidy(name[:MOST]))
        return next((one for one in self.all() if looks(one.name) == seen), None)

    def of_subject(self, subject: str) -> Account | None:
        """The account of somebody whom an OpenID Connect provider names."""
        return next((one for one in self.all() if one.subject == subject), None)

    def add(self, name: str, role: str, *, password: str | None = None, subject: str | None = None, by: str) -> Account:
        """Make an account.

        by : who does it, for the list
        Raises InputError for a name that is taken or looks like one, a weak password, or neither way to sign in.
        """
        name = tidy(name)
        check_text(name, say("account"), "name")
        if not name:
            raise InputError(say("found an account without a name, expected one"))
        if password is None and not subject:
            raise InputError(
                say("account {name}: found no way to sign in, expected a password or --subject", name=name)
            )
        if (before := self.find(name)) is not None:
            raise InputError(say("account {name} is there already: {before}", name=name, before=before.name))
        kept = None if password is None else hashed(password, name)
        with self._open() as connection:
            connection.execute(
                "INSERT INTO accounts VALUES (?, ?, ?, ?, ?, ?)",
                (name, looks(name), known_role(role), kept, subject or None, _stamp()),
            )
            _note(connection, "account added", by, f"{name}: {role}")
        return self.get(name)

    def get(self, name: str) -> Account:
        """An account by its name; raises UnknownNameError where there is none."""
        found = self.find(name)
        if found is None:
            raise UnknownNameError(say("account"), name, [one.name for one in self.all()])
        return found

    def set_role(self, name: str, role: str, *, by: str) -> Account:
        """Give an account another role, which holds at once; raises InputError where nobody would lead."""
        one = self.get(name)
        known_role(role)
        self._keep_a_lead(one, stays=role == LEAD)
        with self._open() as connection:
            connection.execute("UPDATE accounts SET role = ? WHERE name = ?", (role, one.name))
            _note(connection, "role changed", by, f"{one.name}: {one.role} → {role}")
        return self.get(name)

    def set_password(self, name: str, password: str, *, by: str) -> Account:
        """Give an account another password; its sessions end."""
        one = self.get(name)
        kept = hashed(password, one.name)
        with self._open() as connection:
            connection.execute("UPDATE accounts SET password = ?, stamp = ? WHERE name = ?", (kept, _stamp(), one.name))
            _note(connection, "password changed", by, one.name)
        return self.get(name)

    def remove(self, name: str, *, by: str) -> Account:
        """Take an account away; its sessions end, what it stored stays."""
        one = self.get(name)
        self._keep_a_lead(one, stays=False)
        with self._open() as connection:
            connection.execute("DELETE FROM accounts WHERE name = ?", (one.name,))
            _note(connection, "account removed", by, one.name)
        return one

    def _keep_a_lead(self, one: Account, *, stays: bool) -> None:
        if one.role == LEAD and not stays and sum(other.role == LEAD for other in self.all()) == 1:
            raise InputError(say("{name} is the only lead: name another first", name=one.name))

    def check(self, name: str, password: str) -> Account | None:
        """The account whose password this is; None for a wrong one, and for a name that is not known, as slowly."""
        one = self.find(name)
        with self._looking() as connection:
            row = one and connection.execute("SELECT password FROM accounts WHERE name = ?", (one.name,)).fetchone()
        kept = row[0] if row and row[0] else _nobody()
        return one if _verify(kept, password[: MOST + 1]) and row and row[0] else None

    # ------------------------------------------------------------ what was done

    def note(self, deed: str, account: str, about: str = "", address: str = "") -> None:
        """Put a line at the end of the list."""
        with self._open() as connection:
            _note(connection, deed, account, about, address)

    def log(self, most: int | None = None) -> tuple[LogLine, ...]:
        """The newest lines, the oldest first; raises BookError where a line was changed behind the list's back."""
        with self._looking() as connection:
            rows = connection.execute("SELECT at, deed, account, about, address, chain FROM log ORDER BY id").fetchall()
        before = _START
        for number, (*said, chain) in enumerate(rows, 1):
            before = _link(before, said)
            if before != chain:
                raise BookError(say("accounts {path}: line {n} of the list was changed", path=self.path, n=number))
        lines = tuple(LogLine(*row[:-1]) for row in rows)
        return lines if most is None else lines[-most:]


def check_lead(path: Path) -> None:
    """Refuse accounts that nobody leads; raises InputError."""
    if not any(one.role == LEAD for one in Accounts(path).all()):
        raise InputError(say("accounts {path}: found no lead; first stainbook account add NAME --role lead", path=path))


def _note(connection: sqlite3.Connection, deed: str, account: str, about: str = "", address: str = "") -> None:
    last = connection.execute("SELECT chain FROM log ORDER BY id DESC LIMIT 1").fetchone()
    said = [datetime.now(UTC).isoformat(timespec="seconds"), deed, account[:200], about[:200], address[:60]]
    said = [one.encode("utf-8", "replace").decode() for one in said]  # halves of characters are no text
    chain = _link(last[0] if last else _START, said)
    connection.execute(
        "INSERT INTO log (at, deed, account, about, address, chain) VALUES (?, ?, ?, ?, ?, ?)", (*said, chain)
    )


def _link(before: str, said: list[str]) -> str:
    return hashlib.sha256("\x1f".join([before, *said]).encode()).hexdigest()


def _stamp() -> str:
    return os.urandom(8).hex()


# ---------------------------------------------------------------- passwords


def hashed(password: str, name: str) -> str:
    """The argon2 hash of a password; raises InputError for one that is short, long or the name."""
    if not LEAST <= len(password) <= MOST or looks(password) == looks(name) or len(set(password)) < 5:
        raise InputError(
            say(
                "found a password of {n} characters, expected {least} to {most}, not the name and not one character "
                "over and over; four words that nobody guesses do",
                n=len(password),
                least=LEAST,
                most=MOST,
            )
        )
    return str(_hasher().hash(password.encode("utf-8", "surrogatepass")))


@functools.cache
def _hasher() -> Any:
    try:
        from argon2 import PasswordHasher
    except ImportError as error:
        raise InputError(say("accounts need argon2: pip install 'stainbook[server]'")) from error
    return PasswordHasher()  # argon2id with the parameters of RFC 9106 for little memory


@functools.cache
def _nobody() -> str:
    return str(_hasher().hash(os.urandom(16)))


def _verify(kept: str, password: str) -> bool:
    from argon2.exceptions import VerificationError

    try:
        return bool(_hasher().verify(kept, password.encode("utf-8", "surrogatepass")))
    except VerificationError:
        return False
