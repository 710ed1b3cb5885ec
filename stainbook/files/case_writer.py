"""case.yaml out: what `read_case` reads back unchanged."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import yaml

from stainbook.files.text import write_text
from stainbook.records import Blank, BodyRef, Case, CaseZone, Effect, LabRef, Later, Limits, SampleRef, TabRef, Target

_PLAIN = (
    "case", "material", "stage", "finish", "operator", "programme", "accepted_by", "returned", "ceramic", "read_over",
    "seated_on",
)  # fmt: skip
_LATER = ("layers", "coats", "pots", "strengths", "stains")
_ZONE_PLAIN = ("finish", "by_hand", "height_mm", "piece", "thickness_mm", "read_over", "seated_on")


def write_case(path: Path | str, case: Case, *, readings: Mapping[str, str] | None = None) -> None:
    """Write case.yaml for an exchange, with the case's mark; raises InputError when it cannot be written.

    readings : the file, relative to the case, of samples that the case itself names without one

    >>> from stainbook.files import read_case
    >>> write_case("W-7.yaml", Case("W-7", (CaseZone(11, "middle", "tooth"),), mark="efbbfefa4d24c66b"))
    >>> read_case("W-7.yaml").records[0].mark
    'efbbfefa4d24c66b'
    """
    mark = f"mark: {case.mark}\n" if case.mark else ""
    write_text(path, mark + format_case(case, readings=readings))


def format_case(case: Case, *, readings: Mapping[str, str] | None = None) -> str:
    """Give a case as YAML text, keys that are not set left out; ``readings`` as `write_case` takes it.

    >>> print(format_case(Case("W-7", (CaseZone(11, "middle", "tooth"),), material="zirconia")), end="")
    case: W-7
    material: zirconia
    finish: glaze
    zones:
    - {tooth: 11, zone: middle, tissue: tooth}
    """
    places = readings or {}
    document: dict[str, Any] = {name: value for name in _PLAIN if (value := getattr(case, name)) is not None}
    if case.blank is not None:
        document["blank"] = _blank(case.blank)
    document["zones"] = [_zone(zone, places) for zone in case.zones]
    if case.effects:
        document["effects"] = [_effect(effect) for effect in case.effects]
    if case.lights is not None:
        document["lights"] = list(case.lights)
    if case.lots:
        document["lots"] = dict(case.lots)
    if case.limits != Limits():
        document["limits"] = _limits(case.limits)
    return yaml.safe_dump(document, allow_unicode=True, sort_keys=False, width=120, default_flow_style=None)


def _blank(blank: Blank) -> str | dict[str, Any]:
    if blank.lot is None and not blank.layers:
        return blank.name
    found: dict[str, Any] = {"name": blank.name} | ({"lot": blank.lot} if blank.lot is not None else {})
    layers = [{"height_mm": height, "sample": sample} for height, sample in blank.layers]
    return found | ({"layers": layers} if layers else {})


def _zone(zone: CaseZone, places: Mapping[str, str]) -> dict[str, Any]:
    found: dict[str, Any] = {"tooth": zone.tooth, "zone": zone.zone, "tissue": zone.tissue}
    if zone.now is not None:
        found["now"] = {"body": zone.now.name} if isinstance(zone.now, BodyRef) else _colour(zone.now, places)
    if zone.target is not None:
        found["target"] = _target(zone.target, places)
    if zone.like is not None:
        found["like"] = {"tooth": zone.like[0], "zone": zone.like[1]}
        if zone.like_spread is not None:
            found["like"]["spread"] = zone.like_spread
    own = {name: value for name in _ZONE_PLAIN if (value := getattr(zone, name)) is not None}
    return found | ({"fired": zone.fired} if zone.fired else {}) | own


def _colour(ref: SampleRef | LabRef, places: Mapping[str, str]) -> dict[str, Any]:
    if isinstance(ref, LabRef):
        light = {"illuminant": ref.viewing.illuminant} | (
            {"observer": ref.viewing.observer} if ref.viewing.observer else {}
        )
        return dict(zip("Lab", ref.lab, strict=True)) | light
    place = str(ref.file) if ref.file is not None else places.get(ref.sample)
    found = {"file": place, "sample": ref.sample, "stage": ref.stage}
    return {name: value for name, value in found.items() if value is not None}


def _target(target: Target, places: Mapping[str, str]) -> dict[str, Any]:
    ref = target.colour
    found = {"guide": ref.guide, "tab": ref.tab} if isinstance(ref, TabRef) else _colour(ref, places)
    return found | ({"shift": dict(target.shift)} if target.shift else {})


def _effect(effect: Effect) -> dict[str, Any]:
    found = {"tooth": effect.tooth, "effect": effect.effect, "place": effect.place, "note": effect.note}
    shown = {name: value for name, value in found.items() if value is not None}
    return shown | ({"pot": effect.pot.as_dict()} if effect.pot is not None else {})


def _limits(limits: Limits) -> dict[str, Any]:
    names = ("firings_left", "layers", "coats", "pots", "coats_in_all", "dryings", "liquid_way")
    found: dict[str, Any] = {name: value for name in names if (value := getattr(limits, name)) is not None}
    found["strengths"] = list(limits.strengths)
    found |= {"stains": list(limits.stains)} if limits.stains is not None else {}
    return found | ({"later": _later(limits.later)} if limits.later is not None else {})


def _later(later: Later) -> dict[str, Any]:
    found: dict[str, Any] = {name: value for name in _LATER if (value := getattr(later, name)) is not None}
    return {name: list(value) if isinstance(value, tuple) else value for name, value in found.items()}
