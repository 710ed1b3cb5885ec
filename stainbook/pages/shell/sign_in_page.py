"""The page on which people sign in: it stands alone, loads nothing, and needs no script."""

from __future__ import annotations

from urllib.parse import quote

from stainbook.language import say, spoken
from stainbook.words.escaping import escape

TITLE, NAME, PASSWORD = say("Sign in"), say("Name"), say("Password")
BY_PROVIDER = say("Sign in with {provider}")
LOST = say("Who has no account or lost the password asks a lead of the lab.")
# referrer: a form's own origin is told to this server, which asks for it
_PAGE = """<!doctype html>
<html lang="{language}"><head><meta charset="utf-8"><title>stainbook</title>
<meta name="viewport" content="width=device-width"><meta name="referrer" content="same-origin">
<style>
:root {{ color-scheme: light dark; }}
body {{ font: 18px/1.5 system-ui, sans-serif; margin: 3rem auto; max-width: 24rem; padding: 0 1rem;
  background: light-dark(#d7d7d7, #353535); color: light-dark(#1f1f1f, #e2e2e2); }}
h1 {{ font-size: 1.35rem; }} label {{ display: block; margin-top: 1rem; }}
input, button, a.way {{ box-sizing: border-box; width: 100%; min-height: 45px; font: inherit; padding: 0 0.6rem;
  border: 1px solid light-dark(#777, #919191); border-radius: 4px; background: light-dark(#eee, #424242);
  color: inherit; }}
button, a.way {{ margin-top: 1.2rem; background: light-dark(#164c4f, #82babb); color: light-dark(#fff, #1f1f1f);
  display: block; text-align: center; line-height: 45px; text-decoration: none; }}
[role=alert] {{ font-weight: 600; }}
</style></head>
<body><main><h1>{title}</h1>{said}{form}{way}<p>{lost}</p></main></body></html>
"""
_FORM = """<form method="post" action="/sign-in{next}">
<label>{name}<input name="name" autocomplete="username" required maxlength="200" autofocus></label>
<label>{password}<input name="password" type="password" autocomplete="current-password" required maxlength="1000">
</label>
<button type="submit">{title}</button></form>"""


def sign_in_page(next_: str, said: str = "", *, provider: str | None = None, local: bool = True) -> str:
    """The page as HTML.

    next_ : where somebody wanted to go; said : why they are here again; provider : of OpenID Connect; local : whether
    names and passwords are taken
    """
    wanted = "" if next_ == "/" else f"?next={quote(next_, safe='')}"
    form = _FORM.format(next=wanted, name=escape(NAME), password=escape(PASSWORD), title=escape(TITLE)) if local else ""
    by = escape(say(BY_PROVIDER, provider=provider)) if provider else ""
    return _PAGE.format(
        language=spoken(), title=escape(TITLE), form=form, lost=escape(LOST),
        said=f'<p role="alert">{escape(said)}</p>' if said else "",
        way=f'<a class="way" href="/sign-in/openid">{by}</a>' if provider else "",
    )  # fmt: skip
