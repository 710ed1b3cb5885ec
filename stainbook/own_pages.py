"""Who may ask the servers of the app, and what their pages may load: from their own server, in no other's frame."""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Collection
from urllib.parse import urlsplit

from stainbook.language import say, shown

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
_INLINE = re.compile(rb"<script>(.*?)</script>", re.DOTALL)
HEADERS = {
    b"x-frame-options": b"DENY",
    b"x-content-type-options": b"nosniff",
    b"referrer-policy": b"no-referrer",
    b"cross-origin-resource-policy": b"same-origin",
    b"cross-origin-opener-policy": b"same-origin",
}


def turned_away(host: str | None, origin: str | None, hosts: Collection[str]) -> str | None:
    """Why a request is turned away, in a line that says what to do; None for one that is let in.

    host, origin : as its headers have them; hosts : names that browsers may ask for

    >>> turned_away("localhost:8501", None, ["localhost"])
    >>> turned_away("localhost:8501", "http://elsewhere.example", ["localhost"])
    'The app answers to its own pages alone: open it in a tab of its own.'
    """
    known = {one.strip("[]").lower() for one in hosts}
    name = (urlsplit(f"//{host}").hostname or "").rstrip(".") if host else ""
    if not known & {"0.0.0.0", "::"} and name not in known:  # else all addresses of this machine: its names are unknown
        asked = f"{name[:80]!a}"
        return shown(say("The app does not answer to the name {name}: start it with --allow-host {name}.", name=asked))
    if origin is not None and urlsplit(origin).netloc.lower() != (host or "").lower():
        return shown(say("The app answers to its own pages alone: open it in a tab of its own."))
    return None


def policy_of(page: bytes) -> str:
    """The policy for a page whose own inline scripts may run, and no others."""
    hashes = (base64.b64encode(hashlib.sha256(script).digest()).decode() for script in _INLINE.findall(page))
    return POLICY.format(hashes="".join(f" 'sha256-{one}'" for one in hashes))
