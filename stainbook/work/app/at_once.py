"""The page that answers at once while the app loads: the cases in the lab, or how far the demonstration is.

It listens where the app will, on this machine alone, and goes over to the app by itself. Pages are told apart by the
answer to the app's health address: 503 here, 200 once the app is up.
"""

from __future__ import annotations

import json
import threading
from collections.abc import Collection, Sequence
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from socket import socket

from stainbook.language import say, shown, spoken
from stainbook.own_pages import HEADERS, policy_of, turned_away
from stainbook.words.escaping import escape

LOADING = say("Opening the lab …")
IN_THE_LAB = say("In the lab, the one told of last first")
HEALTH = "/_stcore/health"  # of the app, which answers there once it is up
_LOOK_MS, _LEAVE = 300, 0.05  # how often the page looks; seconds until a server that is to end sees it
_PAGE = """<!doctype html>
<html lang="{language}"><head><meta charset="utf-8"><title>stainbook</title>
<meta name="viewport" content="width=device-width">
<style>
:root {{ color-scheme: light dark; }}
body {{ font: 16px/1.5 system-ui, sans-serif; margin: 3rem auto; max-width: 40rem; padding: 0 1rem; }}
h1 {{ font-size: 1.1rem; }} ul {{ padding-left: 1.2rem; }} h2 {{ font-size: 1rem; font-weight: 600; }}
</style></head>
<body><main aria-live="polite"><h1>stainbook</h1><p id="said">{said}</p>
<h2 id="head"{hidden}>{head}</h2><ul id="cases">{cases}</ul></main>
<script>
async function look() {{
  try {{
    const answer = await fetch('{health}', {{cache: 'no-store'}});
    if (answer.ok) {{ location.reload(); return; }}
    const now = await answer.json();
    document.getElementById('said').textContent = now.said;
    document.getElementById('head').hidden = now.cases.length === 0;
    document.getElementById('cases').replaceChildren(...now.cases.map(code => {{
      const line = document.createElement('li'); line.textContent = code; return line;
    }}));
  }} catch (error) {{ /* the app takes over: nobody answers for a moment */ }}
  setTimeout(look, {every});
}}
look();
</script></body></html>
"""


class AtOnce:
    """Answers on a listening socket from now on until `leave`; ``hosts`` are the names that browsers may ask for."""

    def __init__(self, listening: socket, hosts: Collection[str]) -> None:
        self._said, self._cases = LOADING, ()
        self._language = spoken()
        self._server = ThreadingHTTPServer(listening.getsockname()[:2], _handler(self, hosts), bind_and_activate=False)
        self._server.daemon_threads = True
        self._server.socket.close()
        self._server.socket = listening
        threading.Thread(target=self._server.serve_forever, args=(_LEAVE,), daemon=True).start()

    _said: str
    _cases: Sequence[str]

    def tell(self, said: str) -> None:
        """Say how far it is."""
        self._said = said

    def list_cases(self, codes: Sequence[str]) -> None:
        """Name the cases in the lab."""
        self._cases = tuple(codes)

    def leave(self) -> None:
        """Answer no more; the socket goes on listening, and whoever takes it answers those who came meanwhile."""
        self._server.shutdown()

    @property
    def now(self) -> dict[str, object]:
        """What the page shows, as its script reads it."""
        return {"said": shown(self._said), "cases": list(self._cases)}

    @property
    def page(self) -> bytes:
        """The page as it stands."""
        lines = "".join(f"<li>{escape(code)}</li>" for code in self._cases)
        return _PAGE.format(
            language=self._language, said=escape(self._said), head=escape(IN_THE_LAB), cases=lines,
            hidden="" if lines else " hidden", health=HEALTH, every=_LOOK_MS,
        ).encode()  # fmt: skip


def _handler(page: AtOnce, hosts: Collection[str]) -> type[BaseHTTPRequestHandler]:
    class Answers(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            refused = turned_away(self.headers.get("Host"), self.headers.get("Origin"), hosts)
            if refused is not None:
                self._answer(HTTPStatus.FORBIDDEN, "text/plain; charset=utf-8", f"{refused}\n".encode())
            elif self.path == HEALTH:
                self._answer(HTTPStatus.SERVICE_UNAVAILABLE, "application/json", json.dumps(page.now).encode())
            else:
                self._answer(HTTPStatus.OK, "text/html; charset=utf-8", page.page)

        def _answer(self, status: HTTPStatus, media: str, body: bytes) -> None:
            self.send_response(status)
            own = {name.decode(): value.decode() for name, value in HEADERS.items()}
            policy = policy_of(body if media.startswith("text/html") else b"")
            told = {"content-type": media, "content-length": str(len(body)), "cache-control": "no-store"}
            for name, value in {**told, **own, "content-security-policy": policy}.items():
                self.send_header(name, value)
            self.end_headers()
            self.wfile.write(body)

        def log_message(self, format: str, *args: object) -> None:
            """Nothing: who looks is nobody's business."""

    return Answers
