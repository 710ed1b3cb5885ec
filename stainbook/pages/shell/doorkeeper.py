"""What stands before the app's server: who may ask, and what a page may load.

Browsers are told that a page loads from its own server alone and stands in no other page's frame. Whoever comes from
another origin, be it another port of this machine, or by a name that was not allowed, is turned away before the server
looks anything up. An ASGI middleware, as `st.App` takes them.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, MutableMapping, Sequence
from typing import Any

from stainbook.own_pages import HEADERS, policy_of, turned_away

Scope = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[MutableMapping[str, Any]]]
Send = Callable[[MutableMapping[str, Any]], Awaitable[None]]

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
        self._hosts = hosts

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
        return turned_away(host, origin, self._hosts)

    def _sending(self, send: Send) -> Send:
        async def sending(message: MutableMapping[str, Any]) -> None:
            if message["type"] == "http.response.start":
                own = [pair for pair in message.get("headers", ()) if pair[0].lower() not in self._headers]
                message = {**message, "headers": [*own, *self._headers.items()]}
            await send(message)

        return sending


def _header(scope: Scope, name: bytes) -> str | None:
    """A header's value; the last one of several, None of none."""
    found = [value.decode("latin-1") for key, value in scope["headers"] if key.lower() == name]
    return found[-1] if found else None
