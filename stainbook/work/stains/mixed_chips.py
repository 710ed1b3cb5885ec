"""Chips of one stain that were not made alike: by lot, hand, programme and material, told apart and weighed so."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from stainbook.errors import some_of
from stainbook.optics.forecast import LOT_SD, OPERATOR_SD
from stainbook.optics.unlike import Unlike
from stainbook.records import CLEAR, Body, Chip

_MEANS = {
    "lot": "a fit means the last one named, the others count with the doubt between lots",
    "operator": "a fit means the hand of most chips, the others count with the doubt between hands",
    "programme": "their firings count as one",
    "material": "one set of curves stands for all of them",
}


def mixed(chips: Iterable[Chip], bodies: Mapping[str, Body]) -> dict[str, list[str]]:
    """By stain, one line for each thing in which its chips differ, with how many chips each has.

    A chip that does not say counts as its own kind only beside chips that do.
    """
    used: dict[str, list[Chip]] = {}
    for chip in chips:
        for name in {name for layer in chip.layers for name in layer.pot.stains} or {CLEAR}:
            used.setdefault(name, []).append(chip)
    return {name: lines for name, some in used.items() if (lines := _lines(name, some, bodies))}


def _lines(stain: str, chips: list[Chip], bodies: Mapping[str, Body]) -> list[str]:
    read: dict[str, Callable[[Chip], str | None]] = {
        "lot": lambda chip: next((lot for layer in chip.layers for name, lot in layer.lots if name == stain), None),
        "operator": lambda chip: chip.operator,
        "programme": lambda chip: chip.programme,
        "material": lambda chip: chip.material or (bodies[chip.body].material if chip.body in bodies else None),
    }
    return [line for what, of in read.items() if (line := _line(what, [of(chip) for chip in chips]))]


def _line(what: str, values: list[str | None]) -> str | None:
    counts = {value: values.count(value) for value in dict.fromkeys(values)}
    if len(counts) < 2:
        return None
    listed = some_of(f"{value or 'not stated'} ({count})" for value, count in counts.items())
    return f"chips of more than one {what}: {listed}; {_MEANS[what]}"


def unlike(chip: Chip, *, operator: str | None, lots: Mapping[str, str]) -> tuple[Unlike, ...]:
    """Where a chip's hand or jars are not those that the fit means; who does not say counts as meant.

    A jar counts by its stain's part of the pot's stains.
    """
    found = []
    for place, layer in enumerate(chip.layers):
        if operator and chip.operator and chip.operator != operator:
            found.append(Unlike(place, f"operator {chip.operator}", OPERATOR_SD))
        shares = layer.pot.as_dict()
        for stain, lot in layer.lots:
            if stain in shares and lots.get(stain) not in (None, lot):
                found.append(Unlike(place, f"lot {lot} of {stain}", LOT_SD * shares[stain] / sum(shares.values())))
    return tuple(found)
