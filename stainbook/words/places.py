"""Zones as screens and sheets name them: "margin" is the crown's finish line, so gum zones are named in full."""

from __future__ import annotations

from collections.abc import Iterable

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


def by_zone(keys: Iterable[tuple[int, str]]) -> str:
    """Many zones in few words: each zone's name once, with its teeth.

    Parameters
    ----------
    keys : tooth by ISO 3950 and the zone's key in files

    >>> by_zone([(11, "cervical"), (12, "cervical"), (11, "margin")])
    'cervical 11 12; gum edge 11'
    """
    found: dict[str, list[str]] = {}
    for tooth, zone in keys:
        found.setdefault(zone, []).append(str(tooth))
    return joined((joined([zone_name(zone), *teeth], " ") for zone, teeth in found.items()), "; ")
