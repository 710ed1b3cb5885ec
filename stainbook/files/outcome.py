"""outcome.yaml: what was really done in one firing and what came out."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace
from datetime import UTC
from pathlib import Path

from stainbook.errors import some_of
from stainbook.files.case import read_pot
from stainbook.files.case_colours import read_now
from stainbook.files.case_zones import read_tooth
from stainbook.files.guide import zone_hint, zone_word
from stainbook.files.loaded import Loaded
from stainbook.files.text import shown
from stainbook.files.values import INSTANT, instant
from stainbook.files.yaml_nodes import Node, read_yaml
from stainbook.kept import ACCEPTED_BY, FIRING_KINDS, RETURNED_FOR, FiredZone, Firing, Report
from stainbook.language import either, say
from stainbook.records import (
    CONSISTENCIES,
    FINISHES,
    SOAKED_FROM,
    TISSUES,
    UNKNOWN_VIEWING,
    BodyRef,
    LabRef,
    Layer,
    Pot,
    SampleRef,
    Viewing,
    tissue_of,
)

KEYS = (
    "case", "operator", "fired_at", "programme", "furnace", "finish", "accepted_by", "returned", "minutes", "clinic",
    "lots", "pots", "zones", "firing", "run", "witness", "checked_by",
)  # fmt: skip
_SHARED = (
    "operator", "fired_at", "programme", "furnace", "finish", "minutes", "lots", "firing", "run", "witness",
    "checked_by",
)  # fmt: skip
WITHOUT_ZONES = ("sinter", "glaze")
_ZONE_KEYS = ("tooth", "zone", "tissue", "before", "layers", "after", "recipe", "note")
_LAYER_KEYS = ("pot", "coats", "lots", "consistency", "method", "brush", "wait_min", "from")
_MOST_COATS, _MOST_MINUTES = 20, 100_000.0


def read_outcome(path: Path | str, *, viewing: Viewing = UNKNOWN_VIEWING) -> Loaded[Report]:
    """Read an outcome.yaml: one firing, a list of them, or the plan of a tray; ``viewing`` is that of bare L*, a*, b*.

    Keys that are not known are told, not used.

    A firing without ``fired_at`` has an empty one.

    Raises
    ------
    FileError
        For anything malformed: names the file, the row and key, what was found and expected.

    >>> from pathlib import Path
    >>> from stainbook.files import read_outcome
    >>> text = "case: W-1\\nzones: [{tooth: 11, zone: middle, layers: [{pot: {husk: 1/4}, coats: 2}]}]\\n"
    >>> Path("outcome.yaml").write_text(text)
    85
    >>> read_outcome("outcome.yaml").records[0].zones[0].layers[0].coats
    2
    """
    root = read_yaml(path, say("an outcome"))
    unknown: dict[str, None] = {}
    if isinstance(root.value, dict) and "cases" in root.value:
        reports = _tray(root, Path(path), viewing, unknown)
    else:
        nodes = root.items() if isinstance(root.value, tuple) else (root,)
        reports = tuple(_report(node, Path(path), viewing, unknown) for node in nodes)
    told = (
        (say("{path}: keys that are not known are left out: {keys}", path=path, keys=some_of(unknown)),)
        if unknown
        else ()
    )
    return Loaded(reports, told)


def _tray(root: Node, path: Path, viewing: Viewing, unknown: dict[str, None]) -> tuple[Report, ...]:
    """One firing of several pieces, as ``plan`` prints it of several cases: what stands beside them holds for each."""
    keys = _known(root, (*_SHARED, "cases", "pots"), ("cases",), unknown)
    shared = {name: node for name, node in keys.items() if name in _SHARED}
    nodes = keys["cases"].items()
    if not nodes:
        raise keys["cases"].fail(say("no case"), say("one case or more"))
    reports = [_report(node, path, viewing, unknown, shared) for node in nodes]
    run = f"tray {', '.join(one.firing.case for one in reports)}"
    return tuple(
        one if one.firing.run is not None else replace(one, firing=replace(one.firing, run=run)) for one in reports
    )


def _report(
    root: Node, path: Path, viewing: Viewing, unknown: dict[str, None], shared: Mapping[str, Node] | None = None
) -> Report:
    """One firing; of a sintering and a glaze the zones may be missing. ``shared`` holds where it says nothing else."""
    keys = {**(shared or {}), **_known(root, KEYS, ("case",), unknown)}
    firing = _firing(keys, str(path))
    listed = keys["zones"].items() if "zones" in keys else ()
    if not listed and firing.kind not in WITHOUT_ZONES:
        where = keys.get("zones", root)
        raise where.fail(say("no zone") if "zones" in keys else say("no zones"), say("one zone or more"))
    zones: dict[tuple[int, str], FiredZone] = {}
    mixes = _mixes(keys, unknown)
    for node in listed:
        zone = _zone(node, path.parent, viewing, unknown, mixes)
        if zone.key in zones:
            raise node.fail(
                say("{tooth} {zone} a second time", tooth=zone.tooth, zone=zone.zone), say("each zone of a tooth once")
            )
        zones[zone.key] = zone
    return Report(firing, tuple(zones.values()), _lots(keys), str(path))


def _known(node: Node, names: Collection[str], required: tuple[str, ...], unknown: dict[str, None]) -> dict[str, Node]:
    keys = node.mapping(required=required)
    unknown.update(dict.fromkeys(shown(name) for name in keys if name not in names))
    return keys


def _firing(keys: dict[str, Node], source: str) -> Firing:
    names = ("operator", "programme", "furnace", "clinic", "run", "checked_by")
    text = {name: keys[name].text() for name in names if name in keys}
    return Firing(
        case=keys["case"].text(),
        fired_at=_instant(keys["fired_at"]) if "fired_at" in keys else "",
        finish=keys["finish"].choice(FINISHES) if "finish" in keys else None,
        accepted_by=keys["accepted_by"].choice(ACCEPTED_BY) if "accepted_by" in keys else None,
        returned=keys["returned"].choice(RETURNED_FOR) if "returned" in keys else None,
        minutes=keys["minutes"].number(0.0, _MOST_MINUTES) if "minutes" in keys else None,
        operator=text.get("operator"),
        programme=text.get("programme"),
        furnace=text.get("furnace"),
        clinic=text.get("clinic"),
        run=text.get("run"),
        checked_by=text.get("checked_by"),
        kind=keys["firing"].choice(FIRING_KINDS) if "firing" in keys else None,
        witness=keys["witness"].texts() if "witness" in keys else None,
        source=source,
    )


def _instant(node: Node) -> str:
    found = instant(node.text())
    if found is None:
        raise node.fail(node.kind, INSTANT)
    return utc(found.astimezone(UTC).isoformat())


def utc(text: str) -> str:
    """Give a time in UTC as files write it.

    >>> utc("2026-03-01T14:05:00+00:00")
    '2026-03-01T14:05:00Z'
    """
    return text.replace("+00:00", "Z")


def _mixes(keys: dict[str, Node], unknown: dict[str, None]) -> dict[str, Pot]:
    """Mixes by their letters, as ``plan`` prints them."""
    listed = (
        (_known(one, ("id", "pot"), ("id", "pot"), unknown) for one in keys["pots"].items()) if "pots" in keys else ()
    )
    return {one["id"].text(): read_pot(one["pot"]) for one in listed}


def _zone(node: Node, folder: Path, viewing: Viewing, unknown: dict[str, None], mixes: Mapping[str, Pot]) -> FiredZone:
    keys = _known(node, _ZONE_KEYS, ("tooth", "zone", "layers"), unknown)
    zone = zone_word(keys["zone"].text())
    return FiredZone(
        tooth=read_tooth(keys["tooth"]),
        zone=zone,
        tissue=_tissue(node, keys, zone),
        layers=tuple(_layer(one, unknown, mixes) for one in keys["layers"].items()),
        after=_colour(keys["after"], folder, viewing) if "after" in keys else None,
        before=_colour(keys["before"], folder, viewing) if "before" in keys else None,
        recipe=keys["recipe"].text() if "recipe" in keys else None,
        note=keys["note"].lines() if "note" in keys else None,
        source=f"{node.path}: row {node.line}",
    )


def _tissue(node: Node, keys: dict[str, Node], zone: str) -> str:
    fixed = tissue_of(zone)
    tissue = keys["tissue"].choice(TISSUES) if "tissue" in keys else fixed
    if tissue is None:
        raise node.fail(
            say("the zone {kind} without tissue", kind=keys["zone"].kind),
            say("tissue: {tissues}", tissues=either(TISSUES)),
            hint=zone_hint(zone),
        )
    if fixed not in (None, tissue):
        raise keys["tissue"].fail(tissue, say("{fixed} for the zone {zone}", fixed=fixed, zone=zone))
    return tissue


def _layer(node: Node, unknown: dict[str, None], mixes: Mapping[str, Pot]) -> Layer:
    keys = _known(node, _LAYER_KEYS, ("pot",), unknown)
    return Layer(
        pot=_pot(keys["pot"], mixes),
        coats=keys["coats"].integer(1, _MOST_COATS) if "coats" in keys else 1,
        lots=_lots(keys),
        consistency=keys["consistency"].choice(CONSISTENCIES) if "consistency" in keys else None,
        method=keys["method"].text() if "method" in keys else None,
        brush=keys["brush"].text() if "brush" in keys else None,
        wait_min=keys["wait_min"].number(0.0, _MOST_MINUTES) if "wait_min" in keys else None,
        soaked_from=keys["from"].choice(SOAKED_FROM) if "from" in keys else None,
    )


def _pot(node: Node, mixes: Mapping[str, Pot]) -> Pot:
    """A mapping of stain to share, or the letter of a mix under ``pots``."""
    if not isinstance(node.value, str):
        return read_pot(node)
    name = node.text()
    if name not in mixes:
        raise node.fail(
            shown(name),
            say("shares, or one of {mixes}", mixes=some_of(mixes)) if mixes else say("shares such as {husk: 1/4}"),
        )
    return mixes[name]


def _lots(keys: dict[str, Node]) -> tuple[tuple[str, str], ...]:
    listed = keys["lots"].mapping() if "lots" in keys else {}
    return tuple(sorted((stain, lot.text()) for stain, lot in listed.items()))


def _colour(node: Node, folder: Path, viewing: Viewing) -> SampleRef | LabRef:
    found = read_now(node, folder, viewing)
    if isinstance(found, BodyRef):
        raise node.fail(say("a body"), say("{file, sample} or {L, a, b}"))
    return found
