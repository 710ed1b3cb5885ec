"""Zones as screens and sheets name them: "margin" is the crown's finish line, so gum zones are named in full."""

from __future__ import annotations

_GUM = {"margin": "gum edge", "attached": "attached gum", "mucosa": "alveolar mucosa"}
TISSUES = {"tooth": "tooth", "gingiva": "gum"}


def zone_name(zone: str) -> str:
    """The zone's name on screens; files keep the key.

    >>> zone_name("margin"), zone_name("incisal")
    ('gum edge', 'incisal')
    """
    return _GUM.get(zone, zone)


def place(tooth: int, zone: str) -> str:
    """Tooth and zone in words.

    Parameters
    ----------
    tooth : its number by ISO 3950
    zone : its key in files

    >>> place(11, "margin")
    '11 gum edge'
    """
    return f"{tooth} {zone_name(zone)}"
