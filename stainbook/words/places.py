"""Zones as screens and sheets name them: "margin" is the crown's finish line, so gum zones are named in full."""

from __future__ import annotations

from stainbook.language import joined, say

_ZONES = {
    "cervical": say("cervical"),
    "middle": say("middle"),
    "incisal": say("incisal"),
    "occlusal": say("occlusal"),
    "margin": say("gum edge"),
    "papilla": say("papilla"),
    "attached": say("attached gum"),
    "mucosa": say("alveolar mucosa"),
}
TISSUES = {"tooth": say("tooth"), "gingiva": say("gum")}


def zone_name(zone: str) -> str:
    """The zone's name on screens; files keep the key, and the lab's own zones their names.

    >>> zone_name("margin"), zone_name("incisal")
    ('gum edge', 'incisal')
    """
    return _ZONES.get(zone, zone)


def place(tooth: int, zone: str) -> str:
    """Tooth and zone in words.

    Parameters
    ----------
    tooth : its number by ISO 3950
    zone : its key in files

    >>> place(11, "margin")
    '11 gum edge'
    """
    return joined([str(tooth), zone_name(zone)], " ")
