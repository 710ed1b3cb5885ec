"""How the app is started: on this machine only unless told otherwise, silent towards the network."""

from __future__ import annotations

import os
import socket
import sys
from collections.abc import MutableMapping, Sequence
from pathlib import Path

from stainbook.errors import InputError
from stainbook.language import say
from stainbook.work.app.shipped import shipped

LOOPBACK = ("127.0.0.1", "localhost", "::1")
LISTENING = "STAINBOOK_LISTENING"  # the number of the socket that the server takes over
_WAITING = 100  # who may wait for an answer
MAX_UPLOAD_MB = 300  # a raw photo of a full frame is about 60


def listening(port: int, host: str) -> socket.socket:
    """A socket that listens on a port, on any free one for 0: whoever comes waits until somebody answers.

    Raises InputError for a port that is in use or not allowed, and a host that is not this machine's.
    """
    try:
        family, *_, address = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
        found = socket.socket(family, socket.SOCK_STREAM)
        try:
            if sys.platform != "win32":  # there it would let a port in use pass
                found.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            found.bind(address)
            found.listen(_WAITING)
        except BaseException:
            found.close()
            raise
        return found
    except (OSError, OverflowError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise InputError(
            say(
                "port {port} on {host}: {reason}; expected one that is free, give another with --port (0 picks one)",
                port=port,
                host=host,
                reason=reason,
            )
        ) from error


def handed_over(environment: MutableMapping[str, str]) -> socket.socket | None:
    """The listening socket that the command handed over to the server, None where it could not."""
    number = environment.pop(LISTENING, "")
    if not number:
        return None
    found = socket.socket(fileno=int(number))
    found.set_inheritable(False)
    return found


def hand_over(found: socket.socket, environment: MutableMapping[str, str]) -> None:
    """Let a listening socket outlive this program, and tell the one that takes its place."""
    found.set_inheritable(True)
    environment[LISTENING] = str(found.fileno())


def open_browser(url: str) -> bool:
    """Show the page in the browser of whoever sits here; False where there is no screen to show it on."""
    here = sys.platform in ("win32", "darwin") or any(
        os.environ.get(name) for name in ("DISPLAY", "WAYLAND_DISPLAY", "BROWSER")
    )
    if not here:  # a browser in the terminal would take it over
        return False
    import webbrowser

    return webbrowser.open(url)


def allowed_hosts(host: str, names: Sequence[str] = ()) -> list[str]:
    """The names that browsers may ask for: those of this machine's own pages, and ``names``."""
    return list(dict.fromkeys(("localhost", "127.0.0.1", host, *names)))


def check_reach(host: str) -> None:
    """Refuse an app without sign-in that other machines reach; raises InputError."""
    if host not in LOOPBACK:
        raise InputError(
            say(
                "the app without sign-in listens on this machine alone, found --host {host}: add --server, after "
                "stainbook account add NAME --role lead",
                host=host,
            )
        )


def app_command(
    port: int, host: str, names: Sequence[str] = (), *, tls: tuple[Path, Path] | None = None, all_addresses: bool = True
) -> list[str]:
    """The command line that serves the app; ``names`` are further host names that browsers may ask for.

    tls : files of certificate and key; all_addresses : a server that listens on all of them answers to any name
    """
    options = {
        "server.port": str(port),
        "server.address": host,
        "server.headless": "true",
        "server.fileWatcherType": "none",
        "server.maxUploadSize": str(MAX_UPLOAD_MB),
        "browser.gatherUsageStats": "false",
        "browser.serverAddress": host,
        "client.toolbarMode": "viewer",
        "client.showErrorDetails": "none",
        "global.developmentMode": "false",
        "logger.hideWelcomeMessage": "true",
        "logger.level": "warning",
    }
    if tls is not None:
        options |= {"server.sslCertFile": str(tls[0]), "server.sslKeyFile": str(tls[1])}
    hosts = [one for one in allowed_hosts(host, names) if all_addresses or one not in ("0.0.0.0", "::")]
    flags = [part for name, value in options.items() for part in (f"--{name}", value)]
    flags += [part for name in hosts for part in ("--server.allowedHosts", name)]
    # -P: modules are never taken from the folder that the command is started in
    return [sys.executable, "-P", "-m", "stainbook.pages.shell.serving", "run", str(shipped("app.py")), *flags]
