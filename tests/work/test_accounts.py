"""Accounts, the list of what was done, and sessions that end."""

import sqlite3
import stat

import pytest

from stainbook.errors import BookError, InputError, UnknownNameError
from stainbook.work.app.accounts import Accounts, check_lead
from stainbook.work.app.server_settings import ServerSettings
from stainbook.work.app.sign_in import OF_ACCOUNT, OF_ADDRESS, WINDOW, Gate

PASSWORD = "four words nobody guesses"


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """A file with a lead, a technician and a reader, made once: hashing takes its time."""
    path = tmp_path_factory.mktemp("accounts") / "accounts.db"
    accounts = Accounts(path)
    for name, role in (("north", "lead"), ("bench-2", "technician"), ("guest", "reader")):
        accounts.add(name, role, password=PASSWORD, by="test")
    with sqlite3.connect(path) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()
    return path


@pytest.fixture
def accounts(made, tmp_path):
    path = tmp_path / "accounts.db"
    path.write_bytes(made.read_bytes())
    return Accounts(path)


class Clock:
    now = 1000.0

    def __call__(self):
        return self.now


@pytest.fixture
def gate(accounts):
    return Gate(ServerSettings(accounts.path, idle_minutes=30, hours=10), accounts, clock=Clock())


def deeds(accounts):
    return [(one.deed, one.account) for one in accounts.log()[3:]]


def test_the_file_is_its_owners_alone_and_holds_no_password(accounts):
    accounts.all()
    assert stat.S_IMODE(accounts.path.stat().st_mode) == 0o600
    assert PASSWORD.encode() not in accounts.path.read_bytes()
    assert b"$argon2id$" in accounts.path.read_bytes()


@pytest.mark.parametrize("password", ["", "short", "a" * 40, "north-north-north"[:11], "x" * 1001])
def test_a_weak_password_is_refused_in_one_line_that_does_not_show_it(accounts, password):
    with pytest.raises(InputError, match="expected 12 to 1000") as refused:
        accounts.set_password("north", password, by="test")
    assert not password or password not in str(refused.value)


@pytest.mark.parametrize("name", ["north", "NORTH", "ｎorth", "nor\u200bth"])
def test_a_name_that_is_taken_or_looks_like_one_is_refused(accounts, name):
    with pytest.raises(InputError):
        accounts.add(name, "reader", password=PASSWORD, by="test")
    assert len(accounts.all()) == 3


def test_somebody_leads_always(accounts):
    for change in (lambda: accounts.remove("north", by="x"), lambda: accounts.set_role("north", "reader", by="x")):
        with pytest.raises(InputError, match="only lead"):
            change()
    accounts.set_role("bench-2", "lead", by="north")
    assert accounts.set_role("north", "technician", by="bench-2").role == "technician"
    with pytest.raises(UnknownNameError):
        accounts.set_role("nobody", "reader", by="x")


def test_a_server_without_a_lead_is_not_started(tmp_path):
    with pytest.raises(InputError, match="account add"):
        check_lead(tmp_path / "none.db")


def test_the_list_refuses_changes_and_tells_of_one_behind_its_back(accounts):
    accounts.note("signed in", "north", "password", "192.0.2.7")
    with sqlite3.connect(accounts.path) as connection:
        for change in ("UPDATE log SET account = 'x'", "DELETE FROM log"):
            with pytest.raises(sqlite3.IntegrityError, match="append-only"):
                connection.execute(change)
        connection.execute("DROP TRIGGER log_stays")
        connection.execute("UPDATE log SET account = 'x' WHERE id = 2")
    connection.close()
    with pytest.raises(BookError, match="line 2 of the list was changed"):
        accounts.log()


# ---------------------------------------------------------------- signing in


def test_who_signs_in_is_known_by_a_token_until_they_sign_out(gate, accounts):
    token = gate.sign_in("North", PASSWORD, "192.0.2.7")
    signed = gate.seen(token)
    assert (signed.account.name, signed.account.role, signed.address) == ("north", "lead", "192.0.2.7")
    assert gate.of_id(signed.id) == signed
    assert signed.id not in token
    assert token not in signed.id
    gate.sign_out(token)
    assert gate.seen(token) is None
    assert deeds(accounts) == [("signed in", "north"), ("signed out", "north")]


@pytest.mark.parametrize("token", [None, "", "x", "\udcff", "0" * 500])
def test_what_is_no_token_opens_nothing(gate, token):
    assert gate.seen(token) is None
    assert gate.of_id(token or "") is None


def test_a_wrong_password_and_an_unknown_name_are_told_alike(gate, accounts):
    said = []
    for name in ("north", "nobody"):
        with pytest.raises(InputError) as refused:
            gate.sign_in(name, "wrong", "192.0.2.7")
        said.append(str(refused.value))
    assert said[0] == said[1]
    assert deeds(accounts) == [("sign-in refused", "north"), ("sign-in refused", "")]
    assert "nobody" not in str(accounts.log())  # it may be a password in the wrong field


def test_an_account_is_shut_after_wrong_passwords_and_opens_again(gate):
    for _ in range(OF_ACCOUNT):
        with pytest.raises(InputError, match="not right"):
            gate.sign_in("north", "wrong", "192.0.2.7")
    for address in ("192.0.2.7", "192.0.2.8"):  # whoever asks
        with pytest.raises(InputError, match="15 minutes"):
            gate.sign_in("NORTH", PASSWORD, address)
    assert gate.sign_in("bench-2", PASSWORD, "192.0.2.7")
    gate._clock.now += WINDOW + 1
    assert gate.sign_in("north", PASSWORD, "192.0.2.7")


def test_an_address_is_shut_after_wrong_passwords_for_many_names(gate, monkeypatch):
    monkeypatch.setattr(gate.accounts, "check", lambda name, password: None)
    for number in range(OF_ADDRESS):
        with pytest.raises(InputError, match="not right"):
            gate.sign_in(f"name {number}", "wrong", "192.0.2.7")
    with pytest.raises(InputError, match="Too many"):
        gate.sign_in("another", "wrong", "192.0.2.7")
    with pytest.raises(InputError, match="not right"):
        gate.sign_in("another", "wrong", "192.0.2.8")


def test_right_passwords_do_not_count(gate):
    for _ in range(OF_ACCOUNT + 1):
        gate.sign_in("north", PASSWORD, "192.0.2.7")


def test_a_session_ends_when_nobody_does_anything_and_after_a_day_of_work(gate, accounts):
    token = gate.sign_in("north", PASSWORD, "192.0.2.7")
    gate._clock.now += 29 * 60
    assert gate.seen(token, active=False) is not None  # a page that looks again by itself
    gate._clock.now += 2 * 60
    assert gate.seen(token) is None
    token = gate.sign_in("north", PASSWORD, "192.0.2.7")
    for _ in range(40):
        gate._clock.now += 15 * 60
        gate.seen(token)
    assert gate.seen(token) is not None
    gate._clock.now += 15 * 60
    assert gate.seen(token) is None
    assert deeds(accounts).count(("session ended", "north")) == 2


@pytest.mark.parametrize(
    "change", [lambda a: a.remove("bench-2", by="x"), lambda a: a.set_password("bench-2", PASSWORD + "!", by="x")]
)
def test_another_password_or_no_account_ends_all_its_sessions(gate, accounts, change):
    token = gate.sign_in("bench-2", PASSWORD, "192.0.2.7")
    change(accounts)
    gate._clock.now += 2
    assert gate.seen(token) is None


def test_who_knows_the_password_changes_it_and_who_guesses_is_shut_out(gate, accounts):
    token = gate.sign_in("bench-2", PASSWORD, "192.0.2.1")
    with pytest.raises(InputError, match="not your password"):
        gate.change_password("bench-2", "four words of somebody", "five other words entirely", "")
    gate.change_password("bench-2", PASSWORD, "five other words entirely", "")
    assert gate.seen(token) is None
    assert gate.sign_in("bench-2", "five other words entirely", "192.0.2.1")
    for _ in range(OF_ACCOUNT):
        with pytest.raises(InputError):
            gate.change_password("bench-2", "guessed and guessed again", "six words that never hold", "")
    with pytest.raises(InputError, match="Too many"):
        gate.change_password("bench-2", "five other words entirely", "six words that never hold", "")


def test_another_role_holds_at_once(gate, accounts):
    token = gate.sign_in("bench-2", PASSWORD, "192.0.2.7")
    accounts.set_role("bench-2", "reader", by="north")
    gate._clock.now += 2
    assert gate.seen(token).account.role == "reader"


def test_whom_a_provider_names_has_an_account_or_stays_outside(gate, accounts):
    accounts.add("bench-3", "technician", subject="bench-3@lab.example", by="north")
    token = gate.sign_in_as(["7f3a", "bench-3@lab.example"], "192.0.2.7")
    assert gate.seen(token).account.name == "bench-3"
    with pytest.raises(InputError, match="no account here"):
        gate.sign_in_as(["another"], "192.0.2.7")
    with pytest.raises(InputError, match="not right"):
        gate.sign_in("bench-3", "", "192.0.2.7")  # who has no password cannot sign in with one
