"""Who is signed in at this server: sessions that end, and doors that close after wrong passwords."""

from __future__ import annotations

import hashlib
import secrets
import threading
import time
from collections import defaultdict, deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from stainbook.errors import InputError
from stainbook.language import say
from stainbook.work.app.accounts import Account, Accounts
from stainbook.work.app.server_settings import ServerSettings

WINDOW = 900.0  # seconds in which wrong passwords are counted
OF_ACCOUNT, OF_ADDRESS = 5, 20  # wrong ones in it, after which the door stays shut: common practice
_FRESH = 1.0  # seconds that an account is believed to be as it was
_MOST_SESSIONS = 1000  # of a server; the ones used longest ago end first
NOT_OWN = say("this is not your password")
WRONG = say("The name or the password is not right.")
SHUT = say("Too many wrong passwords: try again in {minutes} minutes.")
UNKNOWN = say("Whom the provider names has no account here: ask a lead for one.")


@dataclass(frozen=True, slots=True)
class Signed:
    """Somebody who is signed in; ``id`` names the session and opens nothing."""

    id: str
    account: Account
    address: str


@dataclass(slots=True)
class _Session:
    name: str
    stamp: str
    address: str
    begun: float
    used: float


class Gate:
    """Signs in and out; kept in the memory of one server, so that a restart ends all sessions. Safe in threads."""

    def __init__(
        self, settings: ServerSettings, accounts: Accounts, *, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self.settings, self.accounts, self._clock = settings, accounts, clock
        self._sessions: dict[str, _Session] = {}
        self._wrong: dict[str, deque[float]] = defaultdict(deque)
        self._known: dict[str, tuple[float, Account | None]] = {}
        self._lock = threading.RLock()
        self._hashing = threading.Semaphore(2)  # each takes 64 MB

    def sign_in(self, name: str, password: str, address: str) -> str:
        """Give the token of a new session; raises InputError for a wrong password and a door that is shut."""
        name = name[:200]
        known = self.accounts.find(name)
        keys = {f"account {(known.name if known else name).casefold()}": OF_ACCOUNT}
        keys[f"address {address}"] = OF_ADDRESS
        with self._lock:
            for key, most in keys.items():
                self._open_or_shut(key, most, known, address)
            for key in keys:  # counted before the password is looked at: many at once are no way round
                self._wrong[key].append(self._clock())
        with self._hashing:
            account = self.accounts.check(name, password)
        if account is None:
            self._note_no("sign-in refused", known, "", address)
            raise InputError(WRONG)
        with self._lock:
            for key in keys:
                if self._wrong[key]:
                    self._wrong[key].pop()
        return self._begin(account, address, "password")

    def change_password(self, name: str, old: str, new: str, address: str) -> None:
        """Give an account another password, for who knows the one before; its sessions end.

        Raises InputError for a wrong one, as often as at the door, and for a weak new one.
        """
        known, key = self.accounts.get(name), f"account {name.casefold()}"
        with self._lock:
            self._open_or_shut(key, OF_ACCOUNT, known, address)
            self._wrong[key].append(self._clock())
        with self._hashing:
            if self.accounts.check(name, old) is None:
                self._note_no("sign-in refused", known, "password", address)
                raise InputError(NOT_OWN)
            with self._lock:
                if self._wrong[key]:
                    self._wrong[key].pop()
            self.accounts.set_password(name, new, by=name)

    def sign_in_as(self, subjects: Sequence[str], address: str) -> str:
        """Give the token of a new session of whom an OpenID Connect provider vouches for; raises InputError.

        subjects : the names by which the provider knows somebody
        """
        for one in subjects:
            if (account := self.accounts.of_subject(one)) is not None:
                return self._begin(account, address, "OpenID Connect")
        raise InputError(UNKNOWN)

    def note_refused(self, why: str, address: str) -> None:
        """Note that nobody came in through a provider."""
        self.accounts.note("sign-in refused", "", f"OpenID Connect: {why}", address)

    def _note_no(self, deed: str, known: Account | None, about: str, address: str) -> None:
        """Note a sign-in that came to nothing; a name that nobody has may be a password in the wrong field."""
        self.accounts.note(deed, known.name if known else "", about if known else "no such name", address)

    def _open_or_shut(self, key: str, most: int, known: Account | None, address: str) -> None:
        now, times = self._clock(), self._wrong[key]
        while times and times[0] <= now - WINDOW:
            times.popleft()
        if len(times) >= most:
            self._note_no("sign-in shut", known, key.partition(" ")[0], address)
            raise InputError(say(SHUT, minutes=max(1, round((times[0] + WINDOW - now) / 60))))
        if len(self._wrong) > 10 * _MOST_SESSIONS:  # made-up names fill no memory
            for old in [one for one, when in self._wrong.items() if not when or when[-1] <= now - WINDOW]:
                del self._wrong[old]

    def _begin(self, account: Account, address: str, how: str) -> str:
        token, now = secrets.token_urlsafe(32), self._clock()
        with self._lock:
            while len(self._sessions) >= _MOST_SESSIONS:
                del self._sessions[min(self._sessions, key=lambda one: self._sessions[one].used)]
            self._sessions[_id(token)] = _Session(account.name, account.stamp, address, now, now)
        self.accounts.note("signed in", account.name, how, address)
        return token

    def seen(self, token: str | None, *, active: bool = True) -> Signed | None:
        """Who holds a token; None where its session has ended.

        active : somebody does something, so the session does not idle
        """
        return None if not token else self.of_id(_id(token), active=active)

    def of_id(self, session: str, *, active: bool = False) -> Signed | None:
        """Who is signed in under the id of a session, with the role that holds now; None where it has ended."""
        with self._lock:
            found, now = self._sessions.get(session), self._clock()
            if found is None:
                return None
            limits = self.settings
            if now - found.used > 60 * limits.idle_minutes or now - found.begun > 3600 * limits.hours:
                self._end(session, "session ended")
                return None
        account = self._account(found.name)
        if account is None or account.stamp != found.stamp:
            self._end(session, "session ended")
            return None
        if active:
            found.used = now
        return Signed(session, account, found.address)

    def _account(self, name: str) -> Account | None:
        """An account as the file has it; asked once a second at most, since each message of a page asks."""
        now = self._clock()
        at, known = self._known.get(name, (-_FRESH, None))
        if now - at >= _FRESH or known is None:
            known = self.accounts.find(name)
            self._known[name] = now, known
        return known

    def sign_out(self, token: str | None) -> None:
        """End the session of a token."""
        if token:
            self._end(_id(token), "signed out")

    def _end(self, session: str, deed: str) -> None:
        with self._lock:
            found = self._sessions.pop(session, None)
        if found is not None:
            self.accounts.note(deed, found.name, "", found.address)


def _id(token: str) -> str:
    return hashlib.sha256(token.encode("utf-8", "replace")).hexdigest()


# ---------------------------------------------------------------- the gate of this process

_gates: list[Gate] = []


def open_gate(settings: ServerSettings) -> Gate:
    """Put up the gate of this process's server, the one that `gate` gives from now on."""
    _gates[:] = [Gate(settings, Accounts(settings.accounts))]
    return _gates[0]


def shut_gate() -> None:
    """Take the gate away."""
    _gates.clear()


def gate() -> Gate | None:
    """The gate of this process; None where it serves one person, who need not sign in."""
    return _gates[0] if _gates else None
