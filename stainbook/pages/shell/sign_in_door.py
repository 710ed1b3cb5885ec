"""What stands between the doorkeeper and the app of a lab's server: nobody passes who is not signed in.

Pages, uploads, media and the websocket are all asked for the session's cookie, each request and each message anew. An
ASGI middleware. With OpenID Connect it takes what Streamlit's login found out about somebody from the answer to the
provider's redirect, looks it over, and begins a session of its own: Streamlit's cookie never reaches a browser.
"""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable, MutableMapping
from http.cookies import CookieError, SimpleCookie
from typing import Any
from urllib.parse import parse_qs, quote, urlsplit

from stainbook.errors import InputError, message
from stainbook.faces.server_types import Gate
from stainbook.pages.shell.case_source import SESSION_HEADER
from stainbook.pages.shell.openid_answer import CALLBACK, LOGIN, USER_COOKIE, redirect_to_provider, subjects_of
from stainbook.pages.shell.sign_in_page import sign_in_page

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]

SIGN_IN, SIGN_OUT, STATE, OPENID = "/sign-in", "/sign-out", "/sign-in/state", "/sign-in/openid"
HEALTH = "/_stcore/health"  # answered here: whoever stands before the server may know that it lives
_SESSION = SESSION_HEADER.encode()  # by which a page knows who asks; none from outside is let through
_NAME = "stainbook_session"
_MOST_BYTES = 8192  # of a form
_CLOSED = 1008  # of RFC 6455: a policy was violated
_ONE_YEAR = b"max-age=31536000"


class SignInDoor:
    """Lets in who is signed in at a gate."""

    def __init__(self, app: Callable[[Scope, Receive, Send], Awaitable[None]], *, gate: Gate) -> None:
        self._app, self._gate = app, gate

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, answer it here, or turn it away."""
        if scope["type"] == "websocket":
            await self._talk(scope, receive, send)
        elif scope["type"] == "http":
            await self._answer(scope, receive, self._securing(scope, send))
        else:
            await self._app(scope, receive, send)

    # ------------------------------------------------------------ requests

    async def _answer(self, scope: Scope, receive: Receive, send: Send) -> None:
        path, method = scope["path"], scope["method"]
        if path == HEALTH:
            await _say(send, 200, "ok")
        elif path == SIGN_IN and method == "POST":
            await self._sign_in(scope, receive, send)
        elif path == SIGN_IN:
            await self._show(scope, send)
        elif path == SIGN_OUT and method == "POST":
            self._gate.sign_out(_token(scope))
            await _go(send, SIGN_IN, [_cookie(scope, "", age=0)])
        elif path == STATE:
            signed = self._gate.seen(_token(scope), active=False)
            await _say(send, 200 if signed else 401, "signed in" if signed else "signed out")
        elif path == OPENID and self._gate.settings.openid:
            await _go(send, redirect_to_provider())
        elif path == CALLBACK and self._gate.settings.openid and method == "GET":
            await self._vouched_for(scope, receive, send)
        elif path == LOGIN and self._gate.settings.openid and method == "GET":
            await self._app(scope, receive, send)
        elif self._gate.seen(_token(scope)) is not None:
            await self._app(_with_session(scope, None), receive, send)
        elif method in ("GET", "HEAD") and b"text/html" in _header(scope, b"accept"):
            asked = path + (f"?{scope['query_string'].decode('latin-1')}" if scope["query_string"] else "")
            await _go(send, SIGN_IN if path == "/" else f"{SIGN_IN}?next={quote(asked, safe='')}")
        else:
            await _say(send, 401, "sign in first")

    async def _show(self, scope: Scope, send: Send, said: str = "", status: int = 200) -> None:
        openid = self._gate.settings.openid
        page = sign_in_page(_next(scope), said, provider=openid.name if openid else None, local=self._has_passwords())
        await _say(send, status, page, media="text/html; charset=utf-8")

    def _has_passwords(self) -> bool:
        return self._gate.settings.openid is None or any(one.has_password for one in self._gate.accounts.all())

    async def _sign_in(self, scope: Scope, receive: Receive, send: Send) -> None:
        body = await _body(receive)
        if body is None or not _header(scope, b"content-type").startswith(b"application/x-www-form-urlencoded"):
            await _say(send, 400, "not a form of this page")
            return
        form = {name: values[-1] for name, values in parse_qs(body.decode("utf-8", "replace")).items()}
        try:
            token = await asyncio.to_thread(
                self._gate.sign_in, form.get("name", ""), form.get("password", ""), _address(scope)
            )
        except InputError as error:
            await self._show(scope, send, message(error), status=403)
            return
        self._gate.sign_out(_token(scope))  # who signed in before on this browser
        await _go(send, _next(scope), [_cookie(scope, token)])

    async def _vouched_for(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let Streamlit talk to the provider, and begin a session of whom it names."""
        answer: list[Message] = []

        async def keep(one: Message) -> None:
            answer.append(one)

        await self._app(scope, receive, keep)
        cookies = [value for one in answer for name, value in one.get("headers", ()) if name.lower() == b"set-cookie"]
        others = [one for one in cookies if not one.startswith(USER_COOKIE.encode())]
        try:
            token = await asyncio.to_thread(self._begin_as, cookies, _address(scope))
        except InputError as error:
            await self._show(scope, send, message(error), status=403)
            return
        await _go(send, "/", [*others, _cookie(scope, token)])

    def _begin_as(self, cookies: list[bytes], address: str) -> str:
        openid = self._gate.settings.openid
        assert openid is not None
        try:
            return self._gate.sign_in_as(subjects_of(cookies, openid), address)
        except InputError as error:
            self._gate.note_refused(message(error), address)
            raise

    # ------------------------------------------------------------ the websocket

    async def _talk(self, scope: Scope, receive: Receive, send: Send) -> None:
        token = _token(scope)
        signed = self._gate.seen(token)
        if signed is None:
            await send({"type": "websocket.close", "code": _CLOSED, "reason": "sign in first"})
            return
        closed = False

        async def close() -> None:
            nonlocal closed
            if not closed:
                closed = True
                await send({"type": "websocket.close", "code": _CLOSED, "reason": "the session has ended"})

        async def hear() -> Message:
            one = await receive()
            if one["type"] != "websocket.receive" or self._gate.seen(token, active=_is_somebody(one)) is not None:
                return one
            await close()
            return {"type": "websocket.disconnect", "code": _CLOSED}

        async def say(one: Message) -> None:
            if closed:
                return
            if one["type"] == "websocket.send" and self._gate.seen(token, active=False) is None:
                await close()
                return
            await send(one)

        await self._app(_with_session(scope, signed.id), hear, say)

    # ------------------------------------------------------------ what every answer has

    def _securing(self, scope: Scope, send: Send) -> Send:
        """Answers over TLS ask browsers to stay there, and their cookies go nowhere else."""
        if scope["scheme"] != "https":
            return send

        async def sending(one: Message) -> None:
            if one["type"] == "http.response.start":
                headers = [(name, _secured(name, value)) for name, value in one.get("headers", ())]
                one = {**one, "headers": [*headers, (b"strict-transport-security", _ONE_YEAR)]}
            await send(one)

        return sending


def _secured(name: bytes, value: bytes) -> bytes:
    return value + b"; Secure" if name.lower() == b"set-cookie" and b"; secure" not in value.lower() else value


def _is_somebody(one: Message) -> bool:
    """Whether a message of a page is somebody's doing; a page that looks again by itself keeps no session awake."""
    from streamlit.proto.BackMsg_pb2 import BackMsg

    found = BackMsg()
    try:
        found.ParseFromString(one.get("bytes") or b"")
    except Exception:  # the app refuses it
        return False
    return bool(found.WhichOneof("type") == "rerun_script" and not found.rerun_script.is_auto_rerun)


def _header(scope: Scope, name: bytes) -> bytes:
    return next((bytes(value) for key, value in scope["headers"] if key.lower() == name), b"")


def _with_session(scope: Scope, session: str | None) -> Scope:
    headers = [pair for pair in scope["headers"] if pair[0].lower() != _SESSION]
    return {**scope, "headers": [*headers, *([(_SESSION, session.encode())] if session else [])]}


def _token(scope: Scope) -> str | None:
    jar: SimpleCookie = SimpleCookie()
    for key, value in scope["headers"]:
        if key.lower() == b"cookie":
            try:
                jar.load(value.decode("latin-1"))
            except CookieError:
                return None
    found = jar.get(_cookie_name(scope))
    return found.value if found else None


def _cookie_name(scope: Scope) -> str:
    return f"__Host-{_NAME}" if scope["scheme"] in ("https", "wss") else _NAME  # a browser takes that over TLS alone


def _cookie(scope: Scope, token: str, *, age: int | None = None) -> bytes:
    secure = "; Secure" if scope["scheme"] == "https" else ""
    limit = "" if age is None else f"; Max-Age={age}"
    return f"{_cookie_name(scope)}={token}; Path=/; HttpOnly; SameSite=Lax{secure}{limit}".encode()


def _address(scope: Scope) -> str:
    return str((scope.get("client") or ("",))[0])


def _next(scope: Scope) -> str:
    """Where somebody wanted to go, of this server alone."""
    asked = parse_qs(scope["query_string"].decode("latin-1")).get("next", ["/"])[-1]
    parts = urlsplit(asked)
    odd = not asked.startswith("/") or asked.startswith(("//", "/\\")) or not asked.isascii() or not asked.isprintable()
    return "/" if odd or parts.scheme or parts.netloc or parts.path.startswith(SIGN_IN) else asked


async def _body(receive: Receive) -> bytes | None:
    body = b""
    while True:
        one = await receive()
        if one["type"] != "http.request":
            return None
        body += bytes(one.get("body", b""))
        if len(body) > _MOST_BYTES:
            return None
        if not one.get("more_body"):
            return body


async def _say(send: Send, status: int, text: str, *, media: str = "text/plain; charset=utf-8") -> None:
    headers = [(b"content-type", media.encode()), (b"cache-control", b"no-store")]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": text.encode()})


async def _go(send: Send, place: str, cookies: list[bytes] | None = None) -> None:
    headers = [(b"location", place.encode("latin-1", "replace")), (b"cache-control", b"no-store")]
    headers += [(b"set-cookie", one) for one in cookies or ()]
    await send({"type": "http.response.start", "status": 303, "headers": headers})
    await send({"type": "http.response.body", "body": b""})
