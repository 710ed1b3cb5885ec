"""``server.toml``: what it may say, and what is refused with its place."""

from itertools import pairwise
from pathlib import Path

import pytest

from stainbook.errors import FileError, InputError
from stainbook.work.app.server_settings import ServerSettings, server_settings
from stainbook.work.app.start_app import app_command

OPENID = '[openid]\nissuer = "https://id.example"\nclient_id = "a"\nclient_secret = "hush-4711"\n'
ADDRESS = 'address = "https://stain.example"\n'


def read(place, text):
    file = place / "server.toml"
    file.write_text(text)
    file.chmod(0o600)
    return server_settings(file)


def test_all_that_it_may_say(tmp_path):
    for name in ("cert.pem", "key.pem"):
        (tmp_path / name).touch()
    found = read(
        tmp_path,
        'hosts = ["stain.example"]\ncertificate = "cert.pem"\nkey = "key.pem"\n'
        'proxies = ["127.0.0.1", "192.0.2.0/24"]\n'
        f'accounts = "accounts.db"\nidle_minutes = 5\nhours = 1.5\n{ADDRESS}{OPENID}',
    )
    assert found.tls == (tmp_path / "cert.pem", tmp_path / "key.pem")
    assert (found.idle_minutes, found.hours, found.accounts) == (5, 1.5, tmp_path / "accounts.db")
    assert found.openid.metadata == "https://id.example/.well-known/openid-configuration"
    assert "hush-4711" not in repr(found)
    found.check_reach("0.0.0.0")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("hots = []", "'hots'"),
        ("hosts = 'a'", "hosts"),
        ('hosts = ["*"]', "none with"),
        ("idle_minutes = 0", "above 0"),
        ("idle_minutes = true", "above 0"),
        ("hours = 1000", "at most 720"),
        ('certificate = "cert.pem"', "no file"),
        ('proxies = ["all"]', "127.0.0.1"),
        ('address = "http://stain.example"', "https://"),
        ('address = "https://stain.example/app"', "https://"),
        ("hosts = [", "TOML"),
        (OPENID, "openid without an address"),
        (ADDRESS + "[openid]\nissuer = 'https://id.example'", "not all of them"),
        (ADDRESS + OPENID.replace("https://id", "http://id"), "https://"),
        (ADDRESS + OPENID + 'secret = "x"', "'secret'"),
    ],
)
def test_what_cannot_be_is_refused_with_its_file(tmp_path, text, said):
    with pytest.raises(FileError) as refused:
        read(tmp_path, text)
    assert said in str(refused.value)
    assert "server.toml" in str(refused.value)
    assert "hush-4711" not in str(refused.value)


def test_a_secret_that_others_can_read_is_refused(tmp_path):
    file = tmp_path / "server.toml"
    file.write_text(ADDRESS + OPENID)
    file.chmod(0o644)
    with pytest.raises(FileError, match="chmod 600"):
        server_settings(file)


def test_a_server_that_others_reach_has_names_and_tls_or_a_proxy():
    plain = ServerSettings(Path("accounts.db"))
    plain.check_reach("127.0.0.1")
    for settings, host, said in (
        (plain, "0.0.0.0", "hosts"),
        (plain, "192.0.2.7", "certificate and key"),
        (ServerSettings(Path("a"), hosts=("stain.example",)), "::", "certificate and key"),
    ):
        with pytest.raises(InputError, match=said):
            settings.check_reach(host)
    ServerSettings(Path("a"), proxies=("192.0.2.1",)).check_reach("192.0.2.7")


def test_a_server_on_all_addresses_answers_to_its_names_alone():
    command = app_command(8443, "0.0.0.0", ["stain.example"], tls=(Path("c"), Path("k")), all_addresses=False)
    allowed = [value for name, value in pairwise(command) if name == "--server.allowedHosts"]
    assert allowed == ["localhost", "127.0.0.1", "stain.example"]
    assert command[command.index("--server.sslCertFile") + 1] == "c"
