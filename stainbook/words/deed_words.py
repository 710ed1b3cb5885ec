"""What the list of a lab's server calls each deed; the list itself keeps the English word."""

from __future__ import annotations

from stainbook.language import say

_DEEDS = {
    "signed in": say("signed in"),
    "signed out": say("signed out"),
    "session ended": say("session ended"),
    "sign-in refused": say("sign-in refused"),
    "sign-in shut": say("sign-in shut for a while"),
    "account added": say("account added"),
    "account removed": say("account removed"),
    "role changed": say("role changed"),
    "password changed": say("password changed"),
    "export": say("handed out"),
    "erase": say("case erased"),
}


def deed(word: str) -> str:
    """The deed as people are told it.

    >>> deed("signed in")
    'signed in'
    """
    return _DEEDS.get(word, word)
