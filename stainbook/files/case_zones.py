"""The zones of a case: those listed, those that a guide's tab is applied to, and those like another."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from stainbook.errors import some_of
from stainbook.files.case_colours import read_now, read_shift, read_target
from stainbook.files.guide import zone_hint, zone_word
from stainbook.files.yaml_nodes import Node
from stainbook.language import either, say
from stainbook.records import TEETH, TISSUES, BodyRef, CaseZone, GuideTab, TabRef, Target, Viewing, tissue_of

Place = tuple[int, str]
_ZONE_KEYS = (
    "tooth", "zone", "tissue", "now", "target", "like", "fired", "finish", "by_hand", "height_mm", "piece",
    "thickness_mm", "read_over", "seated_on",
)  # fmt: skip
ZONE_FINISHES = ("glaze", "polish", "none")
_LIKE_KEYS = ("tooth", "zone", "spread")
_SPREADS = (1.0, 10.0)
_THICKNESS = (0.1, 15.0)  # mm of ceramic: no restoration is thicker, 16 is 1.6 with its point lost
_APPLY_KEYS = ("teeth", "guide", "tab", "shift")
_MIDLINE = {21: 11, 31: 41, 61: 51, 71: 81}  # the papilla between the two front teeth is one place


@dataclass(frozen=True, slots=True)
class Apply:
    """One tab of a guide for all zones of some teeth."""

    node: Node
    teeth: tuple[int, ...]
    tab: TabRef
    shift: tuple[tuple[str, float], ...]

    @property
    def target(self) -> Target:
        """What the zones must reach."""
        return Target(self.tab, self.shift)


def read_tooth(node: Node) -> int:
    """A tooth's number in ISO 3950."""
    text = node.text()
    if len(text) != 2 or not (text.isascii() and text.isdecimal()) or int(text) not in TEETH:
        raise node.fail(node.kind, say("a tooth's number in ISO 3950, 11 to 48 or 51 to 85"))
    return int(text)


def read_zones(
    nodes: Iterable[Node], folder: Path, viewing: Viewing, *, green: bool, exchanged: bool = False
) -> tuple[CaseZone, ...]:
    """Read the listed zones; a place may stand there once.

    exchanged : of a case that a book had: its piece may have been read since it was green, and older books took the
        papilla between the front teeth from both of them
    """
    zones: dict[Place, CaseZone] = {}
    for node in nodes:
        zone = _zone(node, folder, viewing, green=green and not exchanged)
        place = zone.key if exchanged else place_of(*zone.key)
        if place in zones:
            twice = (
                say("the papilla between the front teeth") if zone.tooth in _MIDLINE else f"{zone.tooth} {zone.zone}"
            )
            raise node.fail(say("{twice} a second time", twice=twice), say("each zone of a tooth once"))
        zones[place] = zone
    return tuple(zones.values())


def read_apply(node: Node | None) -> tuple[Apply, ...]:
    """Read which tabs hold for which teeth: one mapping, or a list of them."""
    if node is None:
        return ()
    applied = tuple(map(_apply, node.items() if isinstance(node.value, tuple) else (node,)))
    seen: set[int] = set()
    for one in applied:
        for tooth in one.teeth:
            if tooth in seen:
                raise one.node.fail(say("tooth {tooth} twice", tooth=tooth), say("each tooth once"))
            seen.add(tooth)
    return applied


def apply_tabs(
    zones: Sequence[CaseZone], applied: Sequence[Apply], guide: Sequence[GuideTab] | None
) -> tuple[tuple[CaseZone, ...], tuple[str, ...]]:
    """Give the teeth's zones the tab as target where they have none, and add all of the tab's zones to teeth without.

    Without a guide at hand (None) no zone can be added, and a warning says so.
    """
    if not applied:
        return tuple(zones), ()
    placed = {place_of(*zone.key): zone for zone in zones}
    warnings = []
    for one in applied:
        tab = _tab_zones(one, guide)
        for place, zone in placed.items():
            if zone.tooth in one.teeth and zone.target is None and (tab is None or zone.zone in tab):
                placed[place] = replace(zone, target=one.target)
        bare = [tooth for tooth in one.teeth if all(zone.tooth != tooth for zone in zones)]
        if bare and tab is None:
            teeth = some_of(bare)
            warnings.append(
                say(
                    "{path}: no guide {guide!r} at hand, so no zone was added for {teeth}",
                    path=one.node.path,
                    guide=one.tab.guide,
                    teeth=teeth,
                )
            )
        for tooth in bare if tab is not None else ():
            for name, tissue in (tab or {}).items():
                placed.setdefault(place_of(tooth, name), CaseZone(tooth, name, tissue, target=one.target))
    return tuple(placed.values()), tuple(warnings)


def resolve_like(zones: Sequence[CaseZone], nodes: Sequence[Node]) -> tuple[CaseZone, ...]:
    """Let ``like`` name the zone that is really read, through others that are like it; ``nodes`` hold the listed."""
    by_key = {zone.key: zone for zone in zones}
    places = {(read_tooth(keys["tooth"]), zone_word(keys["zone"].text())): keys for keys in map(Node.mapping, nodes)}
    resolved = []
    for zone in zones:
        root, passed = zone, {zone.key}
        while root.like is not None:
            node = places[zone.key]["like"]
            if root.like not in by_key:
                raise node.fail("{} {}".format(*root.like), say("a zone of this case"))
            if root.like in passed:
                raise node.fail(say("zones that are like each other"), say("one of them with now"))
            root = by_key[root.like]
            passed.add(root.key)
        resolved.append(replace(zone, like=root.key) if zone.like else zone)
    return tuple(resolved)


def place_of(tooth: int, zone: str) -> Place:
    """Where a zone lies: the papilla between the two front teeth is one place, whichever of them names it.

    >>> place_of(21, "papilla"), place_of(12, "papilla")
    ((11, 'papilla'), (12, 'papilla'))
    """
    return (_MIDLINE.get(tooth, tooth) if zone == "papilla" else tooth), zone


def _zone(node: Node, folder: Path, viewing: Viewing, *, green: bool) -> CaseZone:
    keys = node.mapping(_ZONE_KEYS, required=("tooth", "zone"))
    if "like" in keys and "now" in keys:
        raise node.fail(say("now and like"), say("one of them"))
    now = read_now(keys["now"], folder, viewing) if "now" in keys else None
    if green and now is not None and not isinstance(now, BodyRef):
        raise keys["now"].fail(
            say("a reading of a green piece"), say("{body: name}, the sintered colour of the same blank")
        )
    zone = zone_word(keys["zone"].text())
    return CaseZone(
        tooth=read_tooth(keys["tooth"]),
        zone=zone,
        tissue=_tissue(node, keys, zone),
        now=now,
        target=read_target(keys["target"], folder, viewing) if "target" in keys else None,
        like=_like(keys["like"]) if "like" in keys else None,
        like_spread=_spread(keys["like"]) if "like" in keys else None,
        fired=keys["fired"].integer(0, 100) if "fired" in keys else 0,
        finish=keys["finish"].choice(ZONE_FINISHES) if "finish" in keys else None,
        by_hand=(keys["by_hand"].choice(("true", "false")) == "true" or None) if "by_hand" in keys else None,
        height_mm=keys["height_mm"].number(0.0, 100.0) if "height_mm" in keys else None,
        piece=keys["piece"].text() if "piece" in keys else None,
        thickness_mm=keys["thickness_mm"].number(*_THICKNESS) if "thickness_mm" in keys else None,
        read_over=keys["read_over"].text() if "read_over" in keys else None,
        seated_on=keys["seated_on"].text() if "seated_on" in keys else None,
    )


def _tissue(node: Node, keys: dict[str, Node], zone: str) -> str:
    fixed = tissue_of(zone)
    if "tissue" not in keys:
        if fixed is None:
            found, expected = (
                say("the zone {kind} without tissue", kind=keys["zone"].kind),
                say("tissue: {tissues} beside it", tissues=either(TISSUES)),
            )
            raise node.fail(found, expected, hint=zone_hint(zone))
        return fixed
    tissue = keys["tissue"].choice(TISSUES)
    if fixed not in (None, tissue):
        raise keys["tissue"].fail(tissue, say("{fixed} for the zone {zone}", fixed=fixed, zone=zone))
    return tissue


def _like(node: Node) -> Place:
    keys = node.mapping(_LIKE_KEYS, required=_LIKE_KEYS[:2])
    return read_tooth(keys["tooth"]), zone_word(keys["zone"].text())


def _spread(node: Node) -> float | None:
    """How many times further than two zones alike, where that is said."""
    keys = node.mapping(_LIKE_KEYS)
    return keys["spread"].number(*_SPREADS) if "spread" in keys else None


def _apply(node: Node) -> Apply:
    keys = node.mapping(_APPLY_KEYS, required=("teeth", "guide", "tab"))
    teeth = tuple(map(read_tooth, keys["teeth"].items()))
    return Apply(node, teeth, TabRef(keys["guide"].text(), keys["tab"].text()), read_shift(keys.get("shift")))


def _tab_zones(one: Apply, guide: Sequence[GuideTab] | None) -> dict[str, str] | None:
    """Zone to tissue of an applied tab; None when no guide is at hand."""
    if guide is None:
        return None
    zones = {tab.zone: tab.tissue for tab in guide if (tab.guide, tab.tab) == (one.tab.guide, one.tab.tab)}
    if not zones:
        tabs = sorted({f"{tab.guide}/{tab.tab}" for tab in guide})
        raise one.node.fail(
            say("the tab {guide}/{tab}", guide=one.tab.guide, tab=one.tab.tab),
            say("one of {tabs}", tabs=some_of(tabs) or say("no known tabs")),
        )
    return zones
