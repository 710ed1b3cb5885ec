"""Records of another book under other names."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from stainbook.apparatus import Jar
from stainbook.kept import LabRecipe, Outcome
from stainbook.records import Chip, Layers, Pot, Stain


def renamed_record(record: Any, stains: Mapping[str, str], cases: Mapping[str, str]) -> Any:
    """The record under the names it is taken by; ``stains`` and ``cases`` : old name to new."""
    if isinstance(record, Stain):
        return replace(record, name=stains.get(record.name, record.name))
    if isinstance(record, Jar):
        return replace(record, stain=stains.get(record.stain, record.stain))
    if isinstance(record, Chip | LabRecipe | Outcome) and stains:
        record = replace(record, layers=_layers(record.layers, stains))
    if isinstance(record, LabRecipe) and record.effects and stains:
        drawn = (replace(one, pot=_pot(one.pot, stains) if one.pot else None) for one in record.effects)
        record = replace(record, effects=tuple(drawn))
    new = cases.get(getattr(record, "case", ""))
    return record if new is None else replace(record, case=new)


def _layers(layers: Layers, stains: Mapping[str, str]) -> Layers:
    return tuple(
        replace(
            layer,
            pot=_pot(layer.pot, stains),
            lots=tuple((stains.get(name, name), lot) for name, lot in layer.lots),
        )
        for layer in layers
    )


def _pot(pot: Pot, stains: Mapping[str, str]) -> Pot:
    return Pot.of({stains.get(name, name): share for name, share in pot.shares})
