"""Chips of one stain that were not made alike: by lot, hand, programme and material, named and weighed so."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass

from stainbook.errors import some_of
from stainbook.language import say
from stainbook.optics.forecast import LOT_SD, OPERATOR_SD
from stainbook.optics.unlike import Unlike
from stainbook.records import CLEAR, Body, Chip

OTHER_SOAKING_SD = 0.2  # of ln amount: what another ceramic, or another brush, takes up of a liquid; a cautious guess


def mixed(chips: Iterable[Chip], bodies: Mapping[str, Body], discs: Discs | None = None) -> dict[str, list[str]]:
    """By stain, one line for each thing in which its chips differ, with how many chips each has.

    A chip that does not say counts as its own kind only beside chips that do. ``discs`` are those of liquids.
    """
    chips = list(chips)
    used: dict[str, list[Chip]] = {}
    for chip in chips:
        for name in {name for layer in chip.layers for name in layer.pot.stains} or {CLEAR}:
            used.setdefault(name, []).append(chip)
    found = {name: _lines(name, some, bodies) for name, some in used.items()}
    for name, line in discs.told(chips) if discs else ():
        found[name].append(line)
    return {name: lines for name, lines in found.items() if lines}


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
    return _of_more_than_one(what, some_of(_counted(value, count) for value, count in counts.items()))


def _counted(value: str | None, count: int) -> str:
    return say("{name} ({count})", name=value or say("not stated"), count=count)


def _of_more_than_one(what: str, listed: str) -> str:
    if what == "lot":
        return say(
            "stripes of more than one lot: {listed}; a fit means the last one named, the others count with the doubt "
            "between lots",
            listed=listed,
        )
    if what == "operator":
        return say(
            "stripes of more than one technician: {listed}; a fit means the hand of most stripes, the others "
            "count with the doubt between hands",
            listed=listed,
        )
    if what == "programme":
        return say("stripes of more than one programme: {listed}; their firings count as one", listed=listed)
    return say("stripes of more than one material: {listed}; one set of curves stands for all of them", listed=listed)


@dataclass(frozen=True, slots=True)
class Discs:
    """What most discs of each liquid were soaked into, and with which brush: what a fit of it means."""

    bodies: Mapping[str, Body]
    usual: Mapping[tuple[str, str], str]  # (liquid, "ceramic" or "brush"): what most of its discs say

    @classmethod
    def of(cls, chips: Iterable[Chip], bodies: Mapping[str, Body], liquids: Collection[str]) -> Discs:
        """The discs among some chips."""
        counts: dict[tuple[str, str], Counter[str]] = {}
        for chip in chips:
            for stain in {name for layer in chip.layers for name in layer.pot.stains} & set(liquids):
                for what, value in _soaked_with(chip, stain, bodies).items():
                    counts.setdefault((stain, what), Counter())[value] += 1
        return cls(bodies, {key: found.most_common(1)[0][0] for key, found in counts.items()})

    def odd(self, chip: Chip, stain: str) -> dict[str, str]:
        """What a disc was soaked into or with, where most discs of the liquid say something else."""
        own = _soaked_with(chip, stain, self.bodies)
        return {what: value for what, value in own.items() if self.usual.get((stain, what), value) != value}

    def unlike(self, chip: Chip) -> list[Unlike]:
        """Where an odd disc takes up more or less of a liquid than the others would."""
        return [
            Unlike(place, f"{what} {value} of {stain}", OTHER_SOAKING_SD)
            for place, layer in enumerate(chip.layers)
            for stain in layer.pot.stains
            for what, value in self.odd(chip, stain).items()
        ]

    def told(self, chips: Iterable[Chip]) -> Iterable[tuple[str, str]]:
        """Each liquid with a line for what its odd discs do to the doubt."""
        odd: dict[tuple[str, str, str], list[str]] = {}
        for chip in chips:
            for stain in {name for layer in chip.layers for name in layer.pot.stains}:
                for what, value in self.odd(chip, stain).items():
                    odd.setdefault((stain, what, value), []).append(chip.chip)
        for (stain, what, value), names in odd.items():
            usual = self.usual[stain, what]
            yield stain, _odd_line(what, {"discs": some_of(names), "own": value, "liquid": stain, "usual": usual})


def _odd_line(what: str, known: Mapping[str, str]) -> str:
    """What discs on another ceramic, or made with another brush, do to the doubt."""
    if what == "ceramic":
        return say(
            "{discs} of ceramic {own}, most discs of {liquid} of {usual}: what it takes up there may differ by "
            "{doubt:.0%}, and it counts so much less",
            **known,
            doubt=OTHER_SOAKING_SD,
        )
    return say(
        "{discs} of brush {own}, most discs of {liquid} of {usual}: what it takes up there may differ by {doubt:.0%}, "
        "and it counts so much less",
        **known,
        doubt=OTHER_SOAKING_SD,
    )


def _soaked_with(chip: Chip, stain: str, bodies: Mapping[str, Body]) -> dict[str, str]:
    """The ceramic that a disc is of and the brush it was soaked with, as far as the files say."""
    body = bodies.get(chip.body)
    brush = next((layer.brush for layer in chip.layers if stain in layer.pot.stains), None)
    found = {"ceramic": body.ceramic if body else None, "brush": brush}
    return {what: value for what, value in found.items() if value}


def unlike(
    chip: Chip, *, operator: str | None, lots: Mapping[str, str], discs: Discs | None = None
) -> tuple[Unlike, ...]:
    """Where a chip's hand, jars, ceramic or brush are not those that the fit means; who does not say counts as meant.

    A jar counts by its stain's part of the pot's stains.
    """
    found = discs.unlike(chip) if discs else []
    for place, layer in enumerate(chip.layers):
        if operator and chip.operator and chip.operator != operator:
            found.append(Unlike(place, f"operator {chip.operator}", OPERATOR_SD))
        shares = layer.pot.as_dict()
        for stain, lot in layer.lots:
            if stain in shares and lots.get(stain) not in (None, lot):
                found.append(Unlike(place, f"lot {lot} of {stain}", LOT_SD * shares[stain] / sum(shares.values())))
    return tuple(found)
