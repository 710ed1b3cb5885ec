"""The commands of a lab's server: accounts, and what is not started."""

import json
from pathlib import Path

import pytest

from stainbook.cli.commands import app
from tests.cli.console import document, refusal, stainbook


@pytest.fixture
def accounts(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("STAINBOOK_ACCOUNTS", str(tmp_path / "accounts.db"))
    return tmp_path


def test_accounts_are_added_listed_changed_removed_and_told_of(accounts: Path) -> None:
    for name, role in (("north", "lead"), ("bench-2", "technician")):
        stainbook("account", "add", name, "--role", role, "--subject", name, cwd=accounts)
    stainbook("account", "role", "bench-2", "reader", cwd=accounts)
    found = document("account", "list", cwd=accounts)["accounts"]
    assert [(one["account"], one["role"]) for one in found] == [("bench-2", "reader"), ("north", "lead")]
    assert "only lead" in refusal("account", "remove", "north", cwd=accounts)
    stainbook("account", "remove", "bench-2", cwd=accounts)
    log = document("account", "log", cwd=accounts)["log"]
    assert [one["deed"] for one in log] == ["account added", "account added", "role changed", "account removed"]
    assert log[2]["about"] == "bench-2: technician → reader"


def test_a_password_is_never_an_argument(accounts: Path) -> None:
    (group,) = (one.typer_instance for one in app.registered_groups if one.name == "account")
    assert group is not None
    for command in group.registered_commands:
        taken = stainbook("account", str(command.name or command.callback.__name__), "--help", cwd=accounts).stdout
        assert "--password" not in taken
    assert "12 to 1000" in refusal("account", "add", "north", cwd=accounts)  # nothing was piped in


def test_an_unknown_role_is_refused(accounts: Path) -> None:
    line = refusal("account", "add", "north", "--role", "boss", "--subject", "north", cwd=accounts)
    assert "expected one of reader, technician, lead" in line


@pytest.mark.parametrize("command", ["app", "demo"])
@pytest.mark.parametrize("host", ["0.0.0.0", "::", "192.0.2.7"])
def test_an_app_without_sign_in_listens_to_no_other_machine(command: str, host: str, tmp_path: Path) -> None:
    assert "add --server" in refusal(command, "--host", host, "--no-browser", cwd=tmp_path)


def test_a_server_that_nobody_can_sign_in_to_safely_is_not_started(accounts: Path) -> None:
    assert "account add" in refusal("app", "--server", cwd=accounts)
    stainbook("account", "add", "north", "--role", "lead", "--subject", "north", cwd=accounts)
    assert "hosts = [...]" in refusal("app", "--server", "--host", "0.0.0.0", cwd=accounts)
    settings = accounts / "server.toml"
    settings.write_text('hosts = ["stain.example"]\n')
    assert "certificate and key" in refusal("app", "--server", "--host", "0.0.0.0", cwd=accounts)
    settings.write_text('host = "stain.example"\n')
    assert "expected one of accounts, address" in refusal("app", "--server", cwd=accounts)


def test_labs_are_prepared_on_postgresql_alone(tmp_path: Path) -> None:
    line = refusal("--book", f"sqlite:///{tmp_path / 'lab.db'}", "server", "prepare", "--lab", "north", cwd=tmp_path)
    assert "PostgreSQL alone" in line


@pytest.mark.postgresql
def test_a_lab_is_told_how_its_app_is_started(postgresql_server: str, postgresql_url: str, tmp_path: Path) -> None:
    import psycopg

    role = f"lab_{postgresql_url.rpartition('/')[2]}"
    given = ["--book", postgresql_url, "server", "prepare", "--lab", "north", "--role", role]
    found = json.loads(stainbook(*given, "--json", cwd=tmp_path).stdout)
    assert (found["lab"], found["role"]) == ("north", role)
    assert f"{role}@" in found["book"]
    assert "STAINBOOK_LAB=north" in stainbook(*given, cwd=tmp_path).stdout
    with psycopg.connect(postgresql_url.replace("+psycopg", ""), autocommit=True) as connection:
        connection.execute(f"DROP OWNED BY {role} CASCADE")
        connection.execute(f"DROP ROLE {role}")
