"""What stands before the app's server: who may ask, and what a page may load.

Browsers are told that a page loads from its own server alone and stands in no other page's frame. Whoever comes from
another origin, be it another port of this machine, or by a name that was not allowed, is turned away before the server
looks anything up. An ASGI middleware, as `st.App` takes them.
"""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Awaitable, Callable, MutableMapping, Sequence
from typing import Any
from urllib.parse import urlsplit

from stainbook.language import say, shown

Scope = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[MutableMapping[str, Any]]]
Send = Callable[[MutableMapping[str, Any]], Awaitable[None]]

POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self' blob: 'unsafe-eval'{hashes}",  # eval: charts are drawn from their description
        "style-src 'self' 'unsafe-inline'",
        "img-src 'self' data: blob:",
        "font-src 'self' data:",
        "media-src 'self' data: blob:",
        "connect-src 'self' data: blob:",
        "worker-src 'self' blob:",
        "frame-src 'self' data: blob:",
        "manifest-src 'self'",
        "form-action 'self'",
        "base-uri 'self'",
        "frame-ancestors 'none'",
    )
)
HEADERS = {
    b"x-frame-options": b"DENY",
    b"x-content-type-options": b"nosniff",
    b"referrer-policy": b"no-referrer",
    b"cross-origin-resource-policy": b"same-origin",
    b"cross-origin-opener-policy": b"same-origin",
}
_INLINE = re.compile(rb"<script>(.*?)</script>", re.DOTALL)
_REFUSED = 403
_POLICY_CLOSE = 1008  # of RFC 6455: a policy was violated


class Doorkeeper:
    """Lets in what comes from this server's own pages; ``hosts`` are the names that browsers may ask for.

    page : the page that the server sends first, whose own scripts may run
    """

    def __init__(
        self, app: Callable[[Scope, Receive, Send], Awaitable[None]], *, hosts: Sequence[str], page: bytes = b""
    ) -> None:
        self._app = app
        self._headers = {b"content-security-policy": policy_of(page).encode(), **HEADERS}
        self._hosts = frozenset(host.strip("[]").lower() for host in hosts)
        self._any = bool(self._hosts & {"0.0.0.0", "::"})  # all addresses of this machine: its names are not known

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, its answer with our headers, or turn it away."""
        if scope["type"] not in ("http", "websocket"):
            await self._app(scope, receive, send)
            return
        reason = self.refused(_header(scope, b"host"), _header(scope, b"origin"))
        if reason is None:
            await self._app(scope, receive, send if scope["type"] == "websocket" else self._sending(send))
        elif scope["type"] == "websocket":
            await send({"type": "websocket.close", "code": _POLICY_CLOSE, "reason": "not this server's page"})
        else:
            await self._sending(send)(
                {"type": "http.response.start", "status": _REFUSED, "headers": [(b"content-type", b"text/plain")]}
            )
            await send({"type": "http.response.body", "body": f"{reason}\n".encode()})

    def refused(self, host: str | None, origin: str | None) -> str | None:
        """Why a request is turned away, in a line that says what to do; None for one that is let in."""
        name = (urlsplit(f"//{host}").hostname or "").rstrip(".") if host else ""
        if not self._any and name not in self._hosts:
            asked = f"{name[:80]!a}"
            return shown(
                say("The app does not answer to the name {name}: start it with --allow-host {name}.", name=asked)
            )
        if origin is not None and urlsplit(origin).netloc.lower() != (host or "").lower():
            return shown(say("The app answers to its own pages alone: open it in a tab of its own."))
        return None

    def _sending(self, send: Send) -> Send:
        async def sending(message: MutableMapping[str, Any]) -> None:
            if message["type"] == "http.response.start":
                own = [pair for pair in message.get("headers", ()) if pair[0].lower() not in self._headers]
                message = {**message, "headers": [*own, *self._headers.items()]}
            await send(message)

        return sending


def policy_of(page: bytes) -> str:
    """The policy for a page whose own inline scripts may run, and no others."""
    hashes = (base64.b64encode(hashlib.sha256(script).digest()).decode() for script in _INLINE.findall(page))
    return POLICY.format(hashes="".join(f" 'sha256-{one}'" for one in hashes))


def _header(scope: Scope, name: bytes) -> str | None:
    """A header's value; the last one of several, None of none."""
    found = [value.decode("latin-1") for key, value in scope["headers"] if key.lower() == name]
    return found[-1] if found else None
