"""Words that the seeds of the simulated labs were drawn from, by the names that their things have now.

A pigment follows from its seed, the seed from a name: a new name alone must not move a measured figure.
"""

from __future__ import annotations

import re

SEED_WORDS = {
    "kettle": "copper", "thrift": "coral", "wagtail": "drizzle", "rook": "smoke", "bracken": "amber",
    "plover": "apricot", "saddle": "walnut", "squall": "lagoon", "teasel": "straw",
    "weir": "linen", "stile": "sand", "hurdle": "bone", "trough": "clay", "wicket": "petal",
    "oat-pale": "oat-1", "oat-mid": "oat-2", "oat-deep": "oat-3", "hay-pale": "hay-1", "hay-deep": "hay-2",
    "gum-pale": "dawn-1", "gum-mid": "dawn-2", "gum-deep": "dusk-1",
}  # fmt: skip
_NAMES = re.compile(rf"(?<!\w)({'|'.join(SEED_WORDS)})(?!\w)")


def seed_word(name: str) -> str:
    """What a name gives the seed: the word that its thing was first drawn under."""
    return _NAMES.sub(lambda found: SEED_WORDS[found[1]], name)
