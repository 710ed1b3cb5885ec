"""OpenID Connect against a provider on this machine: who is let in, and which answers are refused."""

import http.cookiejar
import socket
import time
import urllib.error
import urllib.request
from urllib.parse import urlencode

import pytest

from stainbook.work.app.accounts import Accounts
from tests.browser.conftest import served

pytestmark = pytest.mark.filterwarnings("ignore")  # of the provider and of its libraries


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


@pytest.fixture(scope="module")
def provider():
    """A provider in this process; its issuer."""
    mock = pytest.importorskip("oidc_provider_mock", reason="oidc-provider-mock is not installed")
    with mock.run_server_in_thread() as server:
        yield f"http://localhost:{server.server_port}"


@pytest.fixture(scope="module")
def server(provider, tmp_path_factory):
    place = tmp_path_factory.mktemp("openid")
    accounts = Accounts(place / "accounts.db")
    accounts.add("north", "lead", subject="north@lab.example", by="test")
    accounts.add("bench-2", "reader", subject="7f3a", by="test")
    port = free_port()
    settings = place / "server.toml"
    settings.write_text(
        f'accounts = "accounts.db"\naddress = "http://127.0.0.1:{port}"\n[openid]\nname = "the lab\'s directory"\n'
        f'issuer = "{provider}"\nclient_id = "stainbook"\nclient_secret = "hush-4711"\n'
    )
    settings.chmod(0o600)
    book = f"sqlite:///{place / 'lab.db'}"
    with served("--book", book, "app", "--settings", str(settings), "--folder", str(place), port=port) as url:
        yield url, accounts


@pytest.fixture
def changed(monkeypatch):
    """A function that changes what the provider says of somebody before it signs it."""
    from oidc_provider_mock import _app

    known = _app._user_claims_for_scope

    def change(**claims):
        monkeypatch.setattr(_app, "_user_claims_for_scope", lambda *given: known(*given) | claims)

    return change


def signed_in(url, subject):
    """Where a browser ends that signs in by the provider: status, text and cookies."""
    jar = http.cookiejar.CookieJar()
    opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(jar))
    with opener.open(f"{url}/sign-in/openid", timeout=30) as asked:
        form = asked.geturl()
    try:
        with opener.open(form, urlencode({"sub": subject}).encode(), timeout=30) as answer:
            status, said = answer.status, answer.read().decode()
    except urllib.error.HTTPError as refused:
        status, said = refused.code, refused.read().decode()
    return status, said, {one.name: one.value for one in jar}


def state(url, cookies):
    request = urllib.request.Request(f"{url}/sign-in/state")
    request.add_header("Cookie", "; ".join(f"{name}={value}" for name, value in cookies.items()))
    try:
        with urllib.request.urlopen(request, timeout=30) as answer:
            return answer.status
    except urllib.error.HTTPError as refused:
        refused.close()
        return refused.code


def test_whom_the_provider_names_is_let_in_and_its_cookie_reaches_no_browser(server):
    url, accounts = server
    for subject, name in (("north@lab.example", "north"), ("7f3a", "bench-2")):
        status, _, cookies = signed_in(url, subject)
        assert status == 200
        assert "stainbook_session" in cookies
        assert not [one for one in cookies if one.startswith("_streamlit_user")]
        assert state(url, cookies) == 200
        assert (accounts.log(1)[0].deed, accounts.log(1)[0].account) == ("signed in", name)


def test_whom_the_lab_does_not_know_stays_outside(server):
    url, accounts = server
    status, said, cookies = signed_in(url, "somebody@elsewhere.example")
    assert status == 403
    assert "no account here" in said
    assert "stainbook_session" not in cookies
    assert accounts.log(1)[0].deed == "sign-in refused"


@pytest.mark.parametrize(
    "claims",
    [
        {"iss": "https://elsewhere.example"},
        {"aud": ["another"]},
        {"nonce": "of another sign-in"},
        {"nonce": None},
        {"exp": int(time.time()) - 3600},
    ],
    ids=["issuer", "audience", "nonce", "no nonce", "expired"],
)
def test_an_answer_that_is_not_meant_for_this_sign_in_is_refused(server, changed, claims):
    url, accounts = server
    changed(**claims)
    status, said, cookies = signed_in(url, "north@lab.example")
    assert status == 403
    assert "did not vouch" in said
    assert "stainbook_session" not in cookies
    assert state(url, cookies) == 401
    assert accounts.log(1)[0].deed == "sign-in refused"


@pytest.mark.parametrize("query", ["", "?code=x", "?code=x&state=y", "?error=access_denied&state=y"])
def test_an_answer_that_nobody_asked_for_is_refused(server, query):
    url, _ = server
    with pytest.raises(urllib.error.HTTPError) as refused:
        urllib.request.urlopen(f"{url}/oauth2callback{query}", timeout=30)
    assert refused.value.code == 403
    assert refused.value.headers["set-cookie"] is None or "stainbook_session" not in refused.value.headers["set-cookie"]
    refused.value.close()


def test_the_page_names_the_provider_and_asks_for_no_password_where_nobody_has_one(server):
    url, _ = server
    with urllib.request.urlopen(f"{url}/sign-in", timeout=30) as answer:
        said = answer.read().decode()
    assert "Sign in with the lab&#x27;s directory" in said
    assert 'name="password"' not in said
