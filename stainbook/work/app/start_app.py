"""How the app is started: on this machine only unless told otherwise, silent towards the network."""

from __future__ import annotations

import socket
import sys
from collections.abc import Sequence

from stainbook.errors import InputError
from stainbook.language import say
from stainbook.work.app.shipped import shipped

LOOPBACK = ("127.0.0.1", "localhost", "::1")
MAX_UPLOAD_MB = 300  # a raw photo of a full frame is about 60


def free_port(port: int, host: str) -> int:
    """The port itself when it is free, any free one for 0.

    Raises InputError for a port that is in use or not allowed, and a host that is not this machine's.
    """
    try:
        family, *_, address = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
        with socket.socket(family, socket.SOCK_STREAM) as probe:
            if sys.platform != "win32":  # there it would let a port in use pass
                probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            probe.bind(address)
            return int(probe.getsockname()[1])
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


def app_command(port: int, host: str, names: Sequence[str] = ()) -> list[str]:
    """The command line that serves the app; ``names`` are further host names that browsers may ask for."""
    allowed = dict.fromkeys(("localhost", "127.0.0.1", host, *names))
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
    flags = [part for name, value in options.items() for part in (f"--{name}", value)]
    flags += [part for name in allowed for part in ("--server.allowedHosts", name)]
    # -P: modules are never taken from the folder that the command is started in
    return [sys.executable, "-P", "-m", "stainbook.pages.shell.serving", "run", str(shipped("app.py")), *flags]
