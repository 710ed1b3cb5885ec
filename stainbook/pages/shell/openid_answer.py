"""OpenID Connect through Streamlit's login: its settings, and what its answer says about somebody.

Streamlit and Authlib ask the provider, and check state, nonce and signature; issuer, audience and expiry are looked at
here once more, since an account of the lab depends on them.
"""

from __future__ import annotations

import json
import secrets
import time
from collections.abc import Sequence
from http.cookies import CookieError, SimpleCookie
from typing import Any

from stainbook.errors import InputError
from stainbook.faces.server_types import OpenId, ServerSettings
from stainbook.language import say

LOGIN, CALLBACK = "/auth/login", "/oauth2callback"  # of Streamlit's server
USER_COOKIE = "_streamlit_user"
_SLACK = 60.0  # seconds by which clocks may differ
REFUSED = say("The provider did not vouch for anybody: {reason}.")


def secrets_of(settings: ServerSettings) -> dict[str, Any] | None:
    """Streamlit's secrets for a provider, with a key of this process for its cookies; None without a provider.

    Raises InputError where Authlib is missing.
    """
    found = settings.openid
    if found is None:
        return None
    try:
        import authlib.integrations.starlette_client  # noqa: F401
    except ImportError as error:
        raise InputError(say("OpenID Connect needs Authlib: pip install 'stainbook[server]'")) from error
    return {
        "auth": {
            "redirect_uri": f"{settings.address}{CALLBACK}",
            "cookie_secret": secrets.token_hex(32),
            "client_id": found.client_id,
            "client_secret": found.client_secret,
            "server_metadata_url": found.metadata,
        }
    }


def redirect_to_provider() -> str:
    """Where Streamlit's login begins; its ticket holds for a short while."""
    from streamlit.auth_util import encode_provider_token

    return f"{LOGIN}?provider={encode_provider_token('default')}"


def subjects_of(cookies: Sequence[bytes], openid: OpenId) -> tuple[str, ...]:
    """Who is meant by the cookies that Streamlit's login set: the provider's own name, and a verified e-mail address.

    Raises InputError where it set none, or for claims that are not meant for this server or hold no more.
    """
    claims = _claims(cookies)
    if claims is None:
        raise InputError(say(REFUSED, reason=say("it refused, or its answer was not signed for this sign-in")))
    if str(claims.get("iss", "")).rstrip("/") != openid.issuer.rstrip("/"):
        raise InputError(say(REFUSED, reason=say("another issuer than the one in {file}", file="server.toml")))
    meant = claims.get("aud")
    if openid.client_id not in (meant if isinstance(meant, list) else [meant]):
        raise InputError(say(REFUSED, reason=say("it was meant for another program")))
    ends = claims.get("exp")
    if not isinstance(ends, int | float) or ends < time.time() - _SLACK:
        raise InputError(say(REFUSED, reason=say("its answer holds no more")))
    names = [claims.get("sub"), claims.get("email") if claims.get("email_verified") is True else None]
    return tuple(one for one in names if isinstance(one, str) and one)


def _claims(cookies: Sequence[bytes]) -> dict[str, Any] | None:
    from streamlit.auth_util import get_cookie_with_chunks
    from streamlit.web.server.server_util import get_cookie_secret
    from streamlit.web.server.starlette.starlette_app_utils import decode_signed_value

    jar: SimpleCookie = SimpleCookie()
    try:
        for one in cookies:
            jar.load(one.decode("latin-1"))
    except CookieError:
        return None

    def opened(name: str) -> bytes | None:
        found = jar.get(name)
        return decode_signed_value(get_cookie_secret(), name, found.value.encode("latin-1")) if found else None

    raw = get_cookie_with_chunks(opened, USER_COOKIE)
    try:
        found = json.loads(raw) if raw else None
    except ValueError:
        return None
    return found if isinstance(found, dict) and found.get("is_logged_in") is True else None
