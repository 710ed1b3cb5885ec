"""The invented lab of the demonstration, as data: stains, guide, blanks and the zones of its cases.

Colours are L*, a*, b* under D65 for the 10 degree observer, of the piece under clear glaze.
"""

from __future__ import annotations

from dataclasses import dataclass

from stainbook.records import GUM_ZONES, TOOTH_ZONES, LabValues, Layer, Layers, Pot
from tests.worlds.lab import STAIN_FAMILIES, World

SEED = 20
HAND = 0.12

DEMO_WORLD = World(SEED, matt=True, hand=HAND)
INFILTRATING = {"bracken": "orange", "rook": "grey"}  # bracken has chips, rook has none yet
LOTS = {name: f"24-{101 + 7 * i}" for i, name in enumerate([*STAIN_FAMILIES, *INFILTRATING])}
NOTES = {
    "flour": "lifts dark blanks a little, milky in more than two coats",
    "saddle": "the cervical third and fissures",
    "wagtail": "takes value down without hue",
    "thrift": "attached gum",
    "garnet": "vessels and the depth of the mucosa",
}

GUIDE = "house"
# in the order cervical, middle, incisal, occlusal; margin, papilla, attached, mucosa
_TOOTH_TABS: dict[str, tuple[LabValues, ...]] = {
    "oat-pale": ((74, 2.2, 18), (76.5, 1.2, 15), (75, 0.5, 11), (75, 1.6, 14.5)),
    "oat-mid": ((70.5, 3.4, 21), (73.5, 2.2, 18), (72.5, 1, 13.5), (72, 2.6, 17.5)),
    "oat-deep": ((66.5, 5, 23.5), (69.5, 3.8, 20.5), (69, 2.2, 16), (68, 4, 20)),
    "hay-pale": ((72, 2.6, 22), (75, 1.2, 19), (73.5, 0.6, 14), (73.5, 1.6, 18)),
    "hay-deep": ((68, 4, 24.5), (71, 2.8, 21.5), (70.5, 1.4, 16.5), (69.5, 3.2, 21)),
}
_GUM_TABS: dict[str, tuple[LabValues, ...]] = {
    "gum-pale": ((57, 16.5, 12), (55.5, 18, 12), (57.5, 16, 12.5), (52, 20, 12)),
    "gum-mid": ((54, 18.5, 13), (52.5, 20, 13), (54.5, 18, 13.5), (49, 22, 12.5)),
    "gum-deep": ((50, 19, 12.5), (48.5, 20, 12), (50.5, 18.5, 13), (46, 21.5, 11.5)),
}
TOOTH_TABS = {tab: dict(zip(TOOTH_ZONES, labs, strict=True)) for tab, labs in _TOOTH_TABS.items()}
GUM_TABS = {tab: dict(zip(GUM_ZONES, labs, strict=True)) for tab, labs in _GUM_TABS.items()}

BLANKS: dict[str, tuple[str, LabValues]] = {
    "weir": ("tooth", (80, 0.2, 9)),
    "hurdle": ("tooth", (77.5, 0.8, 12)),
    "stile": ("tooth", (74, 2, 16)),
    "trough": ("tooth", (69, 4, 20)),
    "wicket": ("gingiva", (61, 11, 9)),
}


@dataclass(frozen=True)
class DemoZone:
    """One zone that was read: what its blank looked like under clear glaze and where it must go."""

    tooth: int
    zone: str
    tissue: str
    blank: LabValues
    target: str | None  # as the case file writes it; None when `apply` gives it


def _house(tab: str, shift: str = "") -> str:
    return f"{{guide: {GUIDE}, tab: {tab}{shift}}}"


def _off(colour: LabValues, dL: float, da: float, db: float) -> LabValues:
    return colour[0] + dL, colour[1] + da, colour[2] + db


def _tooth(tooth: int, tab: str, far: LabValues, *, written: bool, last: str = "incisal") -> list[DemoZone]:
    """Three zones of a tooth whose blank is ``far`` from its tab, less so towards the incisal edge."""
    return [
        DemoZone(
            tooth,
            zone,
            "tooth",
            _off(TOOTH_TABS[tab][zone], *(share * d for d in far)),
            _house(tab) if written else None,
        )
        for zone, share in (("cervical", 1.0), ("middle", 0.85), (last, 0.7))
    ]


def _gum(tooth: int, tab: str, far: LabValues) -> list[DemoZone]:
    return [
        DemoZone(tooth, zone, "gingiva", _off(GUM_TABS[tab][zone], *(share * d for d in far)), _house(tab))
        for zone, share in (("margin", 1.0), ("papilla", 1.1), ("attached", 0.9), ("mucosa", 1.2))
    ]


# ---------------------------------------------------------------- the full arch, right side read, left side like it

ARCH = "W-1042"
ARCH_BASE: dict[str, Layers] = {
    "tooth": (Layer(Pot.of({"plover": 1 / 16, "pollen": 1 / 16}), 1),),
    "gingiva": (Layer(Pot.of({"thrift": 1 / 8}), 1),),
}
ARCH_APPLY = ([14, 15, 16, 24, 25, 26], "hay-deep")
ARCH_LIKE = [(22, 12), (23, 13), (24, 14), (25, 15), (26, 16)]


def arch_zones() -> list[DemoZone]:
    """The zones of the arch that were read, tooth by tooth from the right."""
    teeth = [
        *_tooth(16, "hay-deep", (6.0, -2.4, -8.0), written=False, last="occlusal"),
        *_tooth(15, "hay-deep", (5.5, -2.6, -7.5), written=False, last="occlusal"),
        *_tooth(14, "hay-deep", (5.0, -2.2, -7.0), written=False, last="occlusal"),
        *_tooth(13, "oat-deep", (6.5, -3.0, -7.5), written=True),
        *_tooth(12, "oat-mid", (5.0, -2.2, -6.5), written=True),
        *_tooth(11, "oat-mid", (5.5, -2.4, -7.0), written=True),
        *_tooth(21, "oat-mid", (5.2, -2.0, -7.4), written=True),
    ]
    gum = [*_gum(13, "gum-mid", (6, -7, -4)), *_gum(11, "gum-mid", (5.5, -6.5, -3.5))]
    return [_changed(zone) for zone in (*teeth, *gum)]


def _changed(zone: DemoZone) -> DemoZone:
    """Zones made to show the other answers: one that is there already, one that no stain can lift."""
    key = (zone.tooth, zone.zone)
    if key == (11, "incisal"):  # there already, once the base layer is on
        return DemoZone(*key, "tooth", (73.4, 0.8, 11.9), zone.target)
    if key == (12, "cervical"):  # darker than its target: white stain cannot lift it that far
        return DemoZone(*key, "tooth", (64, 4.6, 20), zone.target)
    if key == (21, "middle"):
        return DemoZone(*key, "tooth", zone.blank, _house("oat-mid", ", shift: {L: 1, C: -1}"))
    if key == (13, "attached"):
        return DemoZone(*key, "gingiva", zone.blank, "{file: targets.csv, sample: gum-neighbour}")
    return zone


# ---------------------------------------------------------------- a single front tooth, blasted, and a green one

SINGLE = "W-1051"
GREEN = "W-1063"
SINGLE_ZONES = [
    DemoZone(11, "cervical", "tooth", (74.5, 1.2, 14.5), "{guide: house, tab: hay-pale, shift: {L: -1}}"),
    DemoZone(11, "middle", "tooth", (77.5, 0.4, 13), "{file: targets.csv, sample: neighbour-21-middle}"),
    DemoZone(11, "incisal", "tooth", (76.5, -0.2, 9.5), "{L: 72.8, a: 0.9, b: 13.2, illuminant: D65, observer: 10}"),
]
TARGETS: dict[str, tuple[str, LabValues]] = {
    "neighbour-21-middle": ("tooth", (74.2, 1.6, 18.2)),
    "gum-neighbour": ("gingiva", (53.5, 18.8, 13.2)),
}

RECIPES: dict[str, tuple[str, Layers]] = {
    "warm-neck": ("stile", (Layer(Pot.of({"saddle": 1 / 8, "pollen": 1 / 4}), 1),)),
    "warm-middle": ("hurdle", (Layer(Pot.of({"plover": 1 / 8}), 1),)),
    "cool-edge": ("weir", (Layer(Pot.of({"wagtail": 1 / 8, "squall": 1 / 16}), 1),)),
    "gum-two-layers": ("wicket", (Layer(Pot.of({"thrift": 1 / 2}), 1), Layer(Pot.of({"garnet": 1 / 8}), 1))),
    "glaze-only": ("hurdle", (Layer(Pot.of({}), 1),)),
}
