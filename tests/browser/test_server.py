"""A lab's server and real browsers: who is let in, what each role may do, how sessions end."""

import base64
import contextlib
import http.client
import os
import socket
import ssl
import subprocess
import urllib.error
import urllib.request
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlencode

import pytest

from stainbook.lab import Lab
from stainbook.pages.lab import account_texts, exchange_texts
from stainbook.pages.shell import texts
from stainbook.work.app.accounts import Accounts
from stainbook.work.app.demo import make_demo_book, make_demo_folder
from tests.browser.conftest import PATIENCE, served, settle

PASSWORD = "four words nobody guesses"
ROLES = {"north": "lead", "bench-2": "technician", "guest": "reader"}


@dataclass
class Server:
    url: str
    accounts: Accounts
    book: str


@pytest.fixture(scope="module")
def server(tmp_path_factory):
    """One server for all of these tests, on a book of its own."""
    place = tmp_path_factory.mktemp("server")
    accounts = Accounts(place / "accounts.db")
    for name, role in ROLES.items():
        accounts.add(name, role, password=PASSWORD, by="test")
    (place / "server.toml").write_text('accounts = "accounts.db"\nidle_minutes = 5\n')
    book = make_demo_book(place)
    with served("--book", book, "app", "--server", "--folder", str(make_demo_folder(place)),
                "--settings", str(place / "server.toml")) as url:  # fmt: skip
        yield Server(url, accounts, book)


class Stay(urllib.request.HTTPRedirectHandler):
    def redirect_request(self, *_):
        return None


def asked(url, data=None, context=None, **headers):
    handlers = [Stay, *([urllib.request.HTTPSHandler(context=context)] if context else [])]
    request = urllib.request.Request(url, data=data, headers={k.replace("_", "-"): v for k, v in headers.items()})
    try:
        return urllib.request.build_opener(*handlers).open(request, timeout=20)
    except urllib.error.HTTPError as refused:
        return refused


def cookie_of(server, name, password=PASSWORD):
    form = urlencode({"name": name, "password": password}).encode()
    with asked(f"{server.url}/sign-in", form, Origin=server.url) as answer:
        assert answer.status == 303
        return answer.headers["set-cookie"].partition(";")[0]


def shake_hands(server, **headers):
    """The status with which the server answers a websocket."""
    host = server.url.removeprefix("http://")
    key = base64.b64encode(os.urandom(16)).decode()
    headers |= {"Host": host, "Upgrade": "websocket", "Connection": "Upgrade"}
    headers |= {"Sec-WebSocket-Key": key, "Sec-WebSocket-Version": "13"}
    lines = ["GET /_stcore/stream HTTP/1.1", *(f"{name}: {value}" for name, value in headers.items())]
    with socket.create_connection(host.rsplit(":", 1), timeout=20) as connection:
        connection.sendall(("\r\n".join(lines) + "\r\n\r\n").encode())
        answer = http.client.HTTPResponse(connection)
        answer.begin()
        return answer.status


@pytest.mark.parametrize(
    "path", ["/", "/case", "/settings", "/media/a.png", "/_stcore/host-config", "/_stcore/metrics", "/component/a/b",
             "/static/index.html", "/auth/login", "/oauth2callback", "/sign-in/openid"],
)  # fmt: skip
def test_nothing_is_reached_without_a_session(server, path):
    for accept in ("text/html", "*/*"):
        with asked(f"{server.url}{path}", Accept=accept) as answer:
            assert answer.status == (303 if accept == "text/html" else 401)
            assert "frame-ancestors 'none'" in answer.headers["content-security-policy"]


def test_uploads_and_the_websocket_are_behind_the_sign_in_too(server):
    request = urllib.request.Request(f"{server.url}/_stcore/upload_file/a/b", data=b"x", method="PUT")
    with pytest.raises(urllib.error.HTTPError) as refused:
        urllib.request.urlopen(request, timeout=20)
    assert refused.value.status == 401
    refused.value.close()
    cookie = cookie_of(server, "guest")
    assert shake_hands(server, Origin=server.url) == 403
    assert shake_hands(server, Origin=server.url, Cookie="stainbook_session=guessed") == 403
    assert shake_hands(server, Origin="http://evil.example", Cookie=cookie) == 403
    assert shake_hands(server, Origin=server.url, Cookie=cookie) == 101


def test_a_form_of_another_origin_signs_nobody_in_or_out(server):
    form = urlencode({"name": "north", "password": PASSWORD}).encode()
    cookie = cookie_of(server, "north")
    for path in ("sign-in", "sign-out"):
        with asked(f"{server.url}/{path}", form, Origin="http://evil.example", Cookie=cookie) as refused:
            assert refused.status == 403
            assert refused.headers["set-cookie"] is None
    with asked(f"{server.url}/sign-in/state", Cookie=cookie) as answer:
        assert answer.status == 200


def test_the_address_in_a_header_is_believed_from_a_named_proxy_alone(server):
    with asked(f"{server.url}/sign-in", b"name=nobody&password=x", X_Forwarded_For="198.51.100.9") as refused:
        assert refused.status == 403
    assert server.accounts.log(1)[0].address == "127.0.0.1"


def sign_in(page, server, name, password=PASSWORD, path=""):
    page.goto(f"{server.url}/{path}")
    page.locator("[name=name]").fill(name)
    page.locator("[name=password]").fill(password)
    page.get_by_role("button", name="Sign in").click()


def drawn(page):
    page.locator("[data-testid=stMainBlockContainer]").wait_for(timeout=PATIENCE)
    settle(page)


def test_a_wrong_password_is_told_and_the_right_one_leads_where_one_wanted_to_go(server, opened):
    page = opened(server.url)
    sign_in(page, server, "north", "wrong", "settings")
    assert "not right" in page.get_by_role("alert").inner_text()
    page.locator("[name=name]").fill("north")
    page.locator("[name=password]").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url("**/settings")
    drawn(page)
    page.get_by_text("north, lead").wait_for(timeout=PATIENCE)


def test_a_reader_is_told_and_finds_what_changes_the_lab_grey(server, opened):
    page = opened(server.url)
    sign_in(page, server, "guest", path="new-case")
    drawn(page)
    assert page.get_by_text(texts.READER_LOOKS).is_visible()
    assert page.get_by_role("button", name=texts.MAKE_CASE, exact=True).is_disabled()


def test_a_technician_works_and_erases_nothing(server, opened):
    page = opened(server.url)
    sign_in(page, server, "bench-2", path="settings")
    drawn(page)
    page.get_by_role("tab").nth(3).click()
    page.get_by_role("textbox", name=texts.PERSON).fill("bench-9")
    page.get_by_role("button", name=texts.ENTER, exact=True).first.click()
    settle(page)
    (new,) = [one for one in Lab(server.book).book.newest_entered("operator") if one.name == "bench-9"]
    assert new.author == "bench-2"
    assert page.get_by_text(account_texts.ACCOUNTS, exact=True).count() == 0
    page.goto(f"{server.url}/exchange")
    drawn(page)
    erase = page.get_by_role("button", name=exchange_texts.ERASE.format(case="").strip())
    assert all(one.is_disabled() for one in erase.all())


def test_who_is_signed_out_elsewhere_is_led_to_the_sign_in(server, opened):
    server.accounts.add("bench-7", "technician", password=PASSWORD, by="test")
    page = opened(server.url)
    sign_in(page, server, "bench-7", path="settings")
    drawn(page)
    server.accounts.remove("bench-7", by="test")
    page.wait_for_timeout(1500)  # an account is believed to be as it was for a second
    page.get_by_role("tab").nth(1).click()
    page.reload()
    page.wait_for_url("**/sign-in*", timeout=PATIENCE)


def test_signing_out_leads_out_and_nothing_is_left_open(server, opened):
    page = opened(server.url)
    sign_in(page, server, "north")
    drawn(page)
    page.get_by_role("button", name=texts.SIGN_OUT).click()
    page.wait_for_url("**/sign-in")
    page.goto(f"{server.url}/settings")
    assert "/sign-in" in page.url
    deeds = [(one.deed, one.account) for one in server.accounts.log(3)]
    assert ("signed out", "north") in deeds


# ---------------------------------------------------------------- with a certificate


@pytest.fixture(scope="module")
def certificate(tmp_path_factory):
    place = tmp_path_factory.mktemp("tls")
    command = ["openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2", "-subj", "/CN=localhost",
               "-addext", "subjectAltName=DNS:localhost,IP:127.0.0.1",
               "-keyout", "key.pem", "-out", "cert.pem"]  # fmt: skip
    with contextlib.suppress(FileNotFoundError):
        subprocess.run(command, cwd=place, check=True, capture_output=True)
    if not (place / "cert.pem").exists():
        pytest.skip("openssl is not installed")
    return place


def test_with_a_certificate_cookies_are_secure_and_browsers_stay(server, certificate):
    settings = Path(certificate) / "server.toml"
    settings.write_text(f'certificate = "cert.pem"\nkey = "key.pem"\naccounts = "{server.accounts.path}"\n')
    trusted = ssl.create_default_context(cafile=str(certificate / "cert.pem"))
    with served("--book", server.book, "app", "--settings", str(settings), tls=trusted) as url:
        assert url.startswith("https://")
        form = urlencode({"name": "north", "password": PASSWORD}).encode()
        with asked(f"{url}/sign-in", form, trusted, Origin=url) as answer:
            assert answer.status == 303
            assert answer.headers["strict-transport-security"] == "max-age=31536000"
            cookie = answer.headers["set-cookie"]
            assert cookie.startswith("__Host-stainbook_session=")
            assert "Secure" in cookie
        with asked(url, None, trusted, Cookie=cookie.partition(";")[0]) as answer:
            assert answer.status == 200
