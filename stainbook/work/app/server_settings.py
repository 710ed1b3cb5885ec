"""``server.toml``: how a lab's server is reached, how long its sessions last, and who vouches for people."""

from __future__ import annotations

import ipaddress
import os
import stat
import tomllib
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from stainbook.errors import FileError, InputError
from stainbook.language import joined, say
from stainbook.work.app.accounts import accounts_file
from stainbook.work.app.start_app import LOOPBACK

SETTINGS = "STAINBOOK_SERVER"  # the variable by which the command names the file to the server; "-" is none
FILE = "server.toml"
_KNOWN = ("accounts", "address", "certificate", "hosts", "hours", "idle_minutes", "key", "openid", "proxies")
_OPENID = ("client_id", "client_secret", "issuer", "metadata", "name")


@dataclass(frozen=True, slots=True)
class OpenId:
    """A provider of OpenID Connect that vouches for people."""

    name: str  # on the button
    issuer: str  # as its answers name it
    metadata: str  # URL of its /.well-known/openid-configuration
    client_id: str
    client_secret: str = field(repr=False)


@dataclass(frozen=True, slots=True)
class ServerSettings:
    """A lab's server."""

    accounts: Path
    hosts: tuple[str, ...] = ()  # names that browsers may ask for, besides the address that it listens on
    certificate: Path | None = None
    key: Path | None = None
    proxies: tuple[str, ...] = ()  # addresses whose X-Forwarded-For and -Proto are believed
    address: str | None = None  # as browsers see it, such as https://stain.example; for OpenID Connect
    idle_minutes: float = 30.0
    hours: float = 10.0
    openid: OpenId | None = None

    @property
    def has_tls(self) -> bool:
        """Whether it has a certificate of its own."""
        return self.certificate is not None

    def check_reach(self, host: str) -> None:
        """Refuse a server that others reach without TLS or by any name; raises InputError."""
        if host in ("0.0.0.0", "::") and not self.hosts:
            raise InputError(
                say(
                    "a server that listens on {host} needs hosts = [...] in {file}: the names that browsers may ask "
                    "for; nothing was started",
                    host=host,
                    file=FILE,
                )
            )
        if host not in LOOPBACK and not self.has_tls and not self.proxies:
            raise InputError(
                say(
                    "a server that listens on {host} needs certificate and key in {file}, or proxies = [...] that "
                    "speak TLS before it; nothing was started",
                    host=host,
                    file=FILE,
                )
            )

    @property
    def tls(self) -> tuple[Path, Path] | None:
        """Certificate and key; None without."""
        return None if self.certificate is None or self.key is None else (self.certificate, self.key)


def server_settings(path: Path | None) -> ServerSettings:
    """The settings of a file, or those that hold without one.

    Raises FileError for a file that cannot be used: a key that is not known, a value of another kind.
    """
    if path is None:
        return ServerSettings(accounts_file())
    try:
        found = tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError) as error:
        reason = " ".join(str(getattr(error, "strerror", None) or error).split())
        raise FileError(path, reason, say("the settings of a server, in TOML")) from error
    _only(path, found, _KNOWN)
    openid = _openid(path, found)
    settings = ServerSettings(
        accounts=accounts_file(_file(path, found, "accounts")),
        hosts=_names(path, found, "hosts"),
        certificate=_file(path, found, "certificate", there=True),
        key=_file(path, found, "key", there=True),
        proxies=_proxies(path, found),
        address=_address(path, found),
        idle_minutes=_number(path, found, "idle_minutes", 30.0, most=24 * 60),
        hours=_number(path, found, "hours", 10.0, most=24 * 30),
        openid=openid,
    )
    if (settings.certificate is None) != (settings.key is None):
        raise FileError(path, say("a certificate or a key alone"), say("both"))
    if openid is not None and settings.address is None:
        raise FileError(path, say("openid without an address"), say('address = "https://…", as browsers see it'))
    return settings


def _only(path: Path, found: dict[str, Any], known: tuple[str, ...], where: str | None = None) -> None:
    for name in found:
        if name not in known:
            raise FileError(path, repr(name), say("one of {known}", known=joined(known)), where=where)


def _text(path: Path, found: dict[str, Any], name: str, where: str | None = None) -> str | None:
    value = found.get(name)
    if value is not None and not (isinstance(value, str) and value.strip()):
        raise FileError(path, repr(value), say("text"), where=where or name)
    return value


def _file(path: Path, found: dict[str, Any], name: str, *, there: bool = False) -> Path | None:
    value = _text(path, found, name)
    if value is None:
        return None
    place = path.absolute().parent / Path(value).expanduser()
    if there and not place.is_file():
        raise FileError(path, say("no file {place}", place=place), say("a file"), where=name)
    return place


def _names(path: Path, found: dict[str, Any], name: str) -> tuple[str, ...]:
    value = found.get(name, [])
    if not (isinstance(value, list) and all(isinstance(one, str) and one and "*" not in one for one in value)):
        raise FileError(path, repr(value), say('names such as ["stain.example"], none with *'), where=name)
    return tuple(value)


def _proxies(path: Path, found: dict[str, Any]) -> tuple[str, ...]:
    given = _names(path, found, "proxies")
    for one in given:
        try:
            ipaddress.ip_network(one)
        except ValueError as error:
            raise FileError(path, repr(one), say("an address such as 127.0.0.1"), where="proxies") from error
    return given


def _address(path: Path, found: dict[str, Any]) -> str | None:
    value = _text(path, found, "address")
    if value is None:
        return None
    parts = urlsplit(value)
    plain = parts.scheme == "http" and parts.hostname in LOOPBACK
    if not ((parts.scheme == "https" or plain) and parts.netloc) or parts.path.strip("/") or parts.query:
        raise FileError(path, repr(value), say("an address such as https://stain.example"), where="address")
    return f"{parts.scheme}://{parts.netloc}"


def _number(path: Path, found: dict[str, Any], name: str, default: float, *, most: float) -> float:
    value = found.get(name, default)
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 < value <= most:
        raise FileError(path, repr(value), say("a number above 0, at most {most:g}", most=most), where=name)
    return float(value)


def _openid(path: Path, found: dict[str, Any]) -> OpenId | None:
    given = found.get("openid")
    if given is None:
        return None
    if not isinstance(given, dict):
        raise FileError(path, repr(given), "[openid]", where="openid")
    _only(path, given, _OPENID, "openid")
    issuer, client_id, client_secret = (
        _text(path, given, name, f"openid, {name}") for name in ("issuer", "client_id", "client_secret")
    )
    if issuer is None or client_id is None or client_secret is None:
        raise FileError(path, say("not all of them"), "issuer, client_id, client_secret", where="openid")
    metadata = _text(path, given, "metadata") or f"{issuer.rstrip('/')}/.well-known/openid-configuration"
    if os.name == "posix" and stat.S_IMODE(path.stat().st_mode) & 0o077:
        raise FileError(path, say("a secret that others can read"), say("the file for its owner alone: chmod 600"))
    if urlsplit(metadata).scheme != "https" and urlsplit(metadata).hostname not in LOOPBACK:
        raise FileError(path, repr(metadata), "https://…", where="openid, metadata")
    return OpenId(str(given.get("name") or urlsplit(metadata).hostname), issuer, metadata, client_id, client_secret)
