"""What messages call the kinds of things that a book holds."""

from __future__ import annotations

from stainbook.language import say, say_as

_KINDS = {
    "stain": say("stain"),
    "body": say("body"),
    "chip": say("chip"),
    "tab": say("tab"),
    "reading": say("reading"),
    "import": say("import"),
    "instrument": say("instrument"),
    "programme": say("programme"),
    "operator": say("operator"),
    "settings": say("settings"),
    "case": say("case"),
    "firing": say("firing"),
    "decision": say("decision"),
    "outcome": say("outcome"),
    "recipe": say("recipe"),
    "photo": say("photo"),
    "painted": say_as("of a case", "painted"),
    "choice": say("choice"),
    "step": say("step"),
    "correction": say("correction"),
    "fit": say_as("what is known of stains by their stripes", "fit"),
    "tray": say("tray"),
    "jar": say("jar"),
}


def thing_words(kind: str) -> str:
    """A kind of things as messages have it.

    >>> thing_words("tab")
    'tab'
    """
    return _KINDS.get(kind, kind)
