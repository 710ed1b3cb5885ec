"""Nobody passes who is not signed in: requests, uploads, media, the websocket; cookies and headers."""

import asyncio
from urllib.parse import urlencode

import pytest
from streamlit.proto.BackMsg_pb2 import BackMsg

from stainbook.pages.shell.case_source import SESSION_HEADER
from stainbook.pages.shell.sign_in_door import SignInDoor
from stainbook.work.app.accounts import Accounts
from stainbook.work.app.server_settings import OpenId, ServerSettings
from stainbook.work.app.sign_in import Gate

PASSWORD = "four words nobody guesses"
PLACES = ["/", "/case", "/static/js/index.js", "/media/a.png", "/_stcore/upload_file/s/f", "/_stcore/host-config",
          "/_stcore/metrics", "/component/x", "/auth/login", "/oauth2callback", "/sign-in/openid",
          "/sign-in/../case"]  # fmt: skip


@pytest.fixture(scope="module")
def accounts(tmp_path_factory):
    found = Accounts(tmp_path_factory.mktemp("accounts") / "accounts.db")
    found.add("north", "lead", password=PASSWORD, by="test")
    return found


class App:
    """Remembers what came through."""

    def __init__(self):
        self.scopes, self.heard = [], []

    async def __call__(self, scope, receive, send):
        self.scopes.append(scope)
        if scope["type"] == "websocket":
            await send({"type": "websocket.accept"})
            while (one := await receive())["type"] == "websocket.receive":
                self.heard.append(one)
                await send({"type": "websocket.send", "bytes": b"drawn"})
        else:
            headers = [(b"set-cookie", b"_streamlit_xsrf=1; Path=/")]
            await send({"type": "http.response.start", "status": 200, "headers": headers})
            await send({"type": "http.response.body", "body": b"the app"})


@pytest.fixture
def gate(accounts):
    return Gate(ServerSettings(accounts.path), accounts)


@pytest.fixture
def door(gate):
    return SignInDoor(App(), gate=gate)


def asked(door, path="/", *, method="GET", cookie=None, body=b"", scheme="http", query=b"", **headers):
    """Status, headers and body of an answer."""
    given = [(name.replace("_", "-").encode(), value.encode("latin-1")) for name, value in headers.items()]
    given += [(b"cookie", cookie.encode())] if cookie else []
    scope = {"type": "http", "path": path, "method": method, "scheme": scheme, "query_string": query,
             "headers": given, "client": ("192.0.2.7", 5)}  # fmt: skip
    sent = []

    async def receive():
        return {"type": "http.request", "body": body}

    async def send(one):
        sent.append(one)

    asyncio.run(door(scope, receive, send))
    return sent[0]["status"], sent[0]["headers"], b"".join(one.get("body", b"") for one in sent[1:])


def sign_in(door, name="north", password=PASSWORD, *, scheme="http", query=b""):
    body = urlencode({"name": name, "password": password}).encode()
    kind = "application/x-www-form-urlencoded"
    return asked(door, "/sign-in", method="POST", body=body, scheme=scheme, query=query, content_type=kind)


def cookie_of(headers):
    (found,) = [value for name, value in headers if name == b"set-cookie"]
    return found.decode()


@pytest.mark.parametrize("method", ["GET", "HEAD", "POST", "PUT", "DELETE", "OPTIONS"])
@pytest.mark.parametrize("path", PLACES)
def test_nothing_passes_without_a_session(door, path, method):
    status, _, body = asked(door, path, method=method)
    assert status in (401, 303)
    assert b"the app" not in body
    assert door._app.scopes == []


def test_a_browser_is_led_to_the_page_and_back_to_where_it_wanted(door):
    status, headers, _ = asked(door, "/case", query=b"code=W-7", accept="text/html")
    assert (status, dict(headers)[b"location"]) == (303, b"/sign-in?next=%2Fcase%3Fcode%3DW-7")
    status, headers, _ = sign_in(door, query=b"next=%2Fcase%3Fcode%3DW-7")
    assert (status, dict(headers)[b"location"]) == (303, b"/case?code=W-7")


@pytest.mark.parametrize(
    "place", ["//evil.example", "/\\evil.example", "https://evil.example", "/sign-in", "evil", "/\r\nx"]
)
def test_it_leads_to_this_server_alone(door, place):
    _, headers, _ = sign_in(door, query=urlencode({"next": place}).encode())
    assert dict(headers)[b"location"] == b"/"


def test_the_cookie_is_no_scripts_and_over_tls_no_other_servers(door):
    plain, secure = (cookie_of(sign_in(door, scheme=scheme)[1]) for scheme in ("http", "https"))
    for part in ("HttpOnly", "SameSite=Lax", "Path=/"):
        assert part in plain
        assert part in secure
    assert secure.startswith("__Host-")
    assert "Secure" in secure
    assert "Max-Age" not in secure  # it goes with the browser's window


def test_over_tls_all_cookies_are_secure_and_browsers_stay(door):
    cookie = cookie_of(sign_in(door, scheme="https")[1]).partition(";")[0]
    status, headers, _ = asked(door, scheme="https", cookie=cookie)
    assert status == 200
    assert dict(headers)[b"set-cookie"].endswith(b"; Secure")
    assert dict(headers)[b"strict-transport-security"] == b"max-age=31536000"
    assert b"strict-transport-security" not in dict(asked(door)[1])
    assert asked(door, cookie=cookie)[0] == 401  # a cookie of TLS is none without it


def test_a_wrong_password_is_told_and_gives_no_cookie(door):
    status, headers, body = sign_in(door, password="<b>wrong</b>")
    assert status == 403
    assert b"set-cookie" not in dict(headers)
    assert b"not right" in body
    assert b"<b>wrong" not in body


@pytest.mark.parametrize("body", [b"name=north&password=" + b"x" * 9000, b"\xff\xfe", b""])
def test_an_odd_form_is_refused(door, body):
    kind = "application/x-www-form-urlencoded"
    status, headers, _ = asked(door, "/sign-in", method="POST", body=body, content_type=kind)
    assert status in (400, 403)
    assert b"set-cookie" not in dict(headers)
    assert asked(door, "/sign-in", method="POST", body=body, content_type="text/plain")[0] == 400


def test_whoever_signs_out_is_outside(door, gate):
    cookie = cookie_of(sign_in(door)[1]).partition(";")[0]
    assert asked(door, cookie=cookie)[2] == b"the app"
    assert asked(door, "/sign-in/state", cookie=cookie)[0] == 200
    assert "Max-Age=0" in cookie_of(asked(door, "/sign-out", method="POST", cookie=cookie)[1])
    assert asked(door, cookie=cookie)[0] == 401
    assert asked(door, "/sign-in/state", cookie=cookie)[0] == 401


def test_a_header_that_names_a_session_is_the_doors_alone(door, gate):
    cookie = cookie_of(sign_in(door)[1]).partition(";")[0]
    asked(door, cookie=cookie, **{SESSION_HEADER: "0" * 64})
    assert SESSION_HEADER.encode() not in dict(door._app.scopes[-1]["headers"])


def message(auto):
    found = BackMsg()
    found.rerun_script.is_auto_rerun = auto
    return {"type": "websocket.receive", "bytes": found.SerializeToString()}


def talked(door, cookie, *said):
    """What a websocket is sent; ``said`` are messages, or what happens in between."""
    sent, left = [], list(said)
    headers = [(b"cookie", cookie.encode()), (SESSION_HEADER.encode(), b"0" * 64)]
    scope = {"type": "websocket", "path": "/_stcore/stream", "scheme": "ws", "headers": headers, "query_string": b""}

    async def receive():
        while left:
            one = left.pop(0)
            if isinstance(one, dict):
                return one
            one()
        return {"type": "websocket.disconnect", "code": 1000}

    async def send(one):
        sent.append(one)

    asyncio.run(door(scope, receive, send))
    return [one["type"].partition(".")[2] for one in sent]


def test_a_websocket_is_asked_at_its_beginning_and_at_each_message(door, gate):
    cookie = cookie_of(sign_in(door)[1]).partition(";")[0]
    assert talked(door, "stainbook_session=x", message(False)) == ["close"]
    assert door._app.scopes == []
    assert talked(door, cookie, message(False), message(True)) == ["accept", "send", "send"]
    named = [value for name, value in door._app.scopes[0]["headers"] if name == SESSION_HEADER.encode()]
    assert [gate.of_id(one.decode()).account.name for one in named] == ["north"]
    out = lambda: gate.sign_out(cookie.partition("=")[2])  # noqa: E731
    assert talked(door, cookie, message(False), out, message(False)) == ["accept", "send", "close"]
    assert len(door._app.heard) == 3


def test_a_page_that_looks_again_by_itself_keeps_no_session_awake(door, gate, monkeypatch):
    cookie = cookie_of(sign_in(door)[1]).partition(";")[0]
    seen = []
    known = gate.seen
    monkeypatch.setattr(gate, "seen", lambda token, active=True: seen.append(active) or known(token, active=active))
    talked(door, cookie, message(True), message(False))
    assert seen == [True, False, False, True, False]  # begun, looked again, was sent, pressed, was sent


def test_the_way_by_a_provider_is_open_where_there_is_one_alone(accounts):
    openid = OpenId("the lab's", "https://id.example", "https://id.example/x", "a", "b")
    door = SignInDoor(App(), gate=Gate(ServerSettings(accounts.path, openid=openid), accounts))
    assert b"Sign in with the lab" in asked(door, "/sign-in")[2]
    assert asked(door, "/auth/login")[2] == b"the app"
    assert asked(door, "/auth/logout")[0] == 401
    status, headers, _ = asked(door, "/oauth2callback")  # the app set no cookie of a user
    assert status == 403
    assert b"set-cookie" not in dict(headers)
