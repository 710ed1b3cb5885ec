"""What the demonstration lab finished before: cases, firings by two hands, jars of a second lot, recipes with lives.

Everything follows from the seed of the demonstration world: light by radiative transfer, hands that scatter,
firings that differ. A zone that misses its target is fired once more with the thin layer that helps most.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from stainbook.apparatus import Programme
from stainbook.colour import delta_e_2000, thresholds
from stainbook.files.plain_yaml import format_plain, to_plain
from stainbook.kept import Conditions, LabRecipe, Operator
from stainbook.records import LabRef, LabValues, Layer, Layers, Pot, Reading, Viewing, tissue_of
from tests.worlds import samples
from tests.worlds.bodies import plate
from tests.worlds.coloured import blank_of_colour, lab_of
from tests.worlds.demo_lab import BLANKS, DEMO_WORLD, LOTS
from tests.worlds.lab import Piece
from tests.worlds.write import write_readings

FOLDER = "finished"
VIEWING = Viewing("D65", 10)
NEW_LOTS = {"saddle": "24-233", "pollen": "24-240", "plover": "24-251"}  # opened with W-0988
OPENED_WITH = "W-0988"
MISSED_BY = 0.9  # sd a coordinate by which what is wanted is not quite what the layers would bring
REPEAT = 0.004  # relative, of one reading of the same chip: placing it anew
DIRTY = {"06-08": 0.025, "06-15": 0.05}  # share of the light that dirt takes
WEEKS = (
    "03-02", "03-09", "03-16", "03-23", "03-30", "04-06", "04-13", "04-20", "04-27", "05-04", "05-11", "05-18", "05-25",
    "06-01", "06-08", "06-15", "06-22", "06-29",
)  # fmt: skip
PROGRAMMES = (
    Programme("glaze", furnace="small", source_sheet="as the maker's sheet has it; figures are the lab's to enter"),
    Programme("stain", furnace="small", source_sheet="as the maker's sheet has it; figures are the lab's to enter"),
)
OPERATORS = (Operator("bench-1", notes="fired the chips"), Operator("bench-2"))


def _layers(*pots: tuple[dict[str, float], int]) -> Layers:
    return tuple(Layer(Pot.of(pot), coats) for pot, coats in pots)


PAINTED: dict[str, Layers] = {
    "warm neck": _layers(({"saddle": 1 / 8, "pollen": 1 / 8}, 1)),
    "soft middle": _layers(({"plover": 1 / 8}, 1)),
    "pale middle": _layers(({"barley": 1 / 8, "plover": 1 / 16}, 1)),
    "cool edge": _layers(({"wagtail": 1 / 8, "squall": 1 / 16}, 1)),
    "old neck": _layers(({"peat": 1 / 8, "kettle": 1 / 8}, 2)),
    "gum in two": _layers(({"thrift": 1 / 2}, 1), ({"garnet": 1 / 8}, 1)),
    "gum base": _layers(({"thrift": 1 / 4}, 1)),
}
TOUCH_UPS = {
    "tooth": ("saddle", "pollen", "plover", "wagtail", "kettle"),
    "gingiva": ("thrift", "garnet", "peony", "wagtail"),
}


@dataclass(frozen=True)
class Finished:
    """One finished case: who fired it when and how, how it was received, and its zones with what was painted."""

    case: str
    operator: str
    fired_at: str
    clinic: str
    zones: tuple[tuple[int, str, str, str], ...]  # tooth, zone, blank, key of PAINTED
    minutes: float
    returned: str | None = None  # of the first firing
    note: str | None = None


def _tooth(tooth: int, blank: str, neck: str, body: str, edge: str) -> tuple[tuple[int, str, str, str], ...]:
    return (tooth, "cervical", blank, neck), (tooth, "middle", blank, body), (tooth, "incisal", blank, edge)


CASES = (
    Finished(
        "W-0964", "bench-1", "2026-01-14T10:20:00Z", "Harbour practice",
        (*_tooth(21, "stile", "warm neck", "soft middle", "cool edge"),), 62.0,
    ),
    Finished(
        "W-0971", "bench-2", "2026-02-03T14:05:00Z", "Mill practice",
        (*_tooth(11, "weir", "old neck", "pale middle", "cool edge"), *_tooth(12, "weir", "old neck", "pale middle",
        "cool edge")), 88.0, returned="shade", note="muddy neck beside 13",
    ),
    Finished(
        "W-0979", "bench-1", "2026-03-10T09:30:00Z", "Harbour practice",
        ((13, "margin", "wicket", "gum base"), (13, "papilla", "wicket", "gum in two"),
         (13, "attached", "wicket", "gum base"), (13, "mucosa", "wicket", "gum in two")), 70.0,
    ),
    Finished(
        "W-0988", "bench-2", "2026-04-21T16:40:00Z", "Mill practice",
        (*_tooth(22, "hurdle", "warm neck", "soft middle", "cool edge"), *_tooth(23, "hurdle", "warm neck",
        "soft middle", "cool edge")), 81.0,
    ),
    Finished(
        "W-1003", "bench-1", "2026-05-12T11:15:00Z", "Bridge Street",
        (*_tooth(14, "stile", "warm neck", "soft middle", "pale middle"),), 55.0, returned="fit",
    ),
    Finished(
        "W-1017", "bench-2", "2026-06-02T13:50:00Z", "Harbour practice",
        (*_tooth(11, "hurdle", "warm neck", "soft middle", "cool edge"), (11, "margin", "wicket", "gum base")), 66.0,
    ),
)  # fmt: skip


@dataclass
class Fired:
    """One zone on its way: the piece, what is wanted, what was read, and what was painted each time."""

    tooth: int
    zone: str
    piece: Piece
    target: LabValues
    recipe: str
    readings: list[Reading]
    layers: list[Layers]

    def met(self) -> bool:
        """Whether the last reading is accepted."""
        found = lab_of(np.array(self.readings[-1].reflectance))
        return bool(delta_e_2000(found, np.array(self.target)) <= thresholds(tissue_of(self.zone) or "").acceptable)


def write_history(folder: Path, heading: str) -> None:
    """Write the finished cases, their readings and firings, and the lab's recipes into a folder."""
    for name in ("cases", "firings", "recipes"):
        (folder / name).mkdir(parents=True, exist_ok=True)
    ideal: dict[str, LabValues] = {}
    readings: list[Reading] = []
    for case in CASES:
        zones = fired_zones(case)
        readings += [one for zone in zones for one in zone.readings]
        _write(folder / "cases" / f"{case.case}.yaml", heading + _case_file(case, zones))
        for number in range(max(len(zone.layers) for zone in zones)):
            name = f"{case.case}-{number + 1}.yaml"
            _write(folder / "firings" / name, heading + _firing_file(case, zones, number))
        for zone in zones:
            ideal.setdefault(zone.recipe, zone.target)
    write_readings(folder / "readings.csv", readings, heading=heading)
    write_readings(folder / "readings-2.csv", weekly_readings(), heading=heading)
    bench = {"operators": [to_plain(one) for one in OPERATORS], "programmes": [to_plain(one) for one in PROGRAMMES]}
    _write(folder / "bench.yaml", heading + format_plain(bench))
    for name, revisions in _recipes(ideal).items():
        plain = {"revisions": [to_plain(one) for one in revisions]}
        _write(folder / "recipes" / f"{name.replace(' ', '_')}.yaml", heading + format_plain(plain))


def fired_zones(case: Finished) -> list[Fired]:
    """The zones of a case with everything that was painted and read on them."""
    rng = DEMO_WORLD.rng("finished", case.case)
    heat = DEMO_WORLD.heat_of(rng)
    zones = []
    for tooth, zone, blank, recipe in case.zones:
        tissue, colour = BLANKS[blank]
        sample = f"{case.case}-{tooth}-{zone}"
        near = tuple(float(value) for value in np.asarray(colour) + rng.normal(0, 0.5, 3))
        piece = DEMO_WORLD.piece(blank_of_colour(DEMO_WORLD, sample, tissue, near))  # type: ignore[arg-type]
        one = Fired(tooth, zone, piece, _wanted(piece, PAINTED[recipe], rng), recipe, [], [])
        one.readings.append(_read(one, sample, "blasted", rng))
        _fire(one, PAINTED[recipe], case, heat, rng)
        zones.append(one)
    heat = DEMO_WORLD.heat_of(rng)
    for one in zones:
        if not one.met():
            _fire(one, _touch_up(one), case, heat, rng)
    return zones


def weekly_readings() -> list[Reading]:
    """One glazed chip read each week; in two weeks of June it drifts, as a dirty instrument does until cleaned."""
    rng = DEMO_WORLD.rng("weekly chip")
    piece = DEMO_WORLD.fire(DEMO_WORLD.piece(plate("plate-pale")), _layers(({}, 1)), ideal=True)
    made = []
    for day in WEEKS:
        drift = 1.0 - DIRTY.get(day, 0.0)
        R = drift * DEMO_WORLD.read(piece) * float(rng.normal(1.0, REPEAT))
        reading = samples.to_reading("weekly-plate", R, piece.surface)
        made.append(replace(reading, stage="glazed", taken_at=f"2026-{day}T07:30:00Z"))
    return made


def _wanted(piece: Piece, layers: Layers, rng: np.random.Generator) -> LabValues:
    """What the layers would bring by the chips' hand and jars, and not quite that."""
    ideal = lab_of(DEMO_WORLD.read(DEMO_WORLD.fire(piece, layers, ideal=True)))
    L, a, b = (round(float(value), 1) for value in ideal + rng.normal(0, MISSED_BY, 3))
    return L, a, b


def _fire(one: Fired, layers: Layers, case: Finished, heat: float, rng: np.random.Generator) -> None:
    lots = _new_lots(case)
    one.piece = DEMO_WORLD.fire(one.piece, layers, operator=case.operator, lots=lots, rng=rng, heat=heat)
    one.layers.append(layers)
    sample = f"{case.case}-{one.tooth}-{one.zone}-f{len(one.layers)}"
    one.readings.append(_read(one, sample, "glazed", rng))


def _read(one: Fired, sample: str, stage: str, rng: np.random.Generator) -> Reading:
    reading = samples.to_reading(sample, DEMO_WORLD.read(one.piece, rng=rng), one.piece.surface)
    return replace(reading, stage=stage)


def _touch_up(one: Fired) -> Layers:
    thin = [_layers(({name: 1 / 16}, 1)) for name in TOUCH_UPS[one.piece.tissue]]
    after = [lab_of(R) for R in DEMO_WORLD.fire_many(one.piece, thin)]
    return thin[int(np.argmin(delta_e_2000(np.array(after), np.array(one.target))))]


def _new_lots(case: Finished) -> dict[str, str]:
    return NEW_LOTS if case.case >= OPENED_WITH else {}


# ---------------------------------------------------------------- as files


def _write(path: Path, text: str) -> None:
    path.write_text(text, encoding="utf-8", newline="\n")


def _case_file(case: Finished, zones: Iterable[Fired]) -> str:
    lines = [f"case: {case.case}", "material: zirconia", "stage: blasted", "finish: glaze", "zones:"]
    for one in zones:
        L, a, b = one.target
        lines += [f"  - tooth: {one.tooth}", f"    zone: {one.zone}"]
        lines += [f"    now: {{file: ../readings.csv, sample: {one.readings[0].sample}}}"]
        lines += [f"    target: {{L: {L}, a: {a}, b: {b}, illuminant: D65, observer: 10}}"]
    return "\n".join([*lines, f"operator: {case.operator}"]) + "\n"


def _firing_file(case: Finished, zones: Iterable[Fired], number: int) -> str:
    """The firing of that number: the first of the whole case, a second of the zones that missed."""
    fired = [one for one in zones if len(one.layers) > number]
    lots = {**LOTS, **_new_lots(case)}
    used = sorted({name for one in fired for layer in one.layers[number] for name in layer.pot.stains})
    lines = [f"case: {case.case}", f"operator: {case.operator}", f"fired_at: {_later(case.fired_at, number)}"]
    lines += [f"programme: {'glaze' if number else 'stain'}", "furnace: small", f"clinic: {case.clinic}"]
    lines += [f"firing: {'correction' if number else 'stain+glaze'}"]  # all of it was read glazed
    lines += [f"minutes: {case.minutes * (0.6 if number else 1.0):g}"]
    back = case.returned if number == 0 else None
    lines += [f"returned: {back}"] if back else []
    lines += ["accepted_by: clinic"] if not back and number == max(len(one.layers) for one in zones) - 1 else []
    lines += [f"lots: {{{', '.join(f'{name}: {lots[name]}' for name in used)}}}"] if used else []
    return "\n".join([*lines, "zones:", *(line for one in fired for line in _zone_lines(case, one, number))]) + "\n"


def _zone_lines(case: Finished, one: Fired, number: int) -> Iterator[str]:
    yield f"  - tooth: {one.tooth}"
    yield f"    zone: {one.zone}"
    yield f"    before: {{file: ../readings.csv, sample: {one.readings[number].sample}}}"
    layers = ", ".join(_layer_text(layer) for layer in one.layers[number])
    yield f"    layers: [{layers}]"
    yield f"    after: {{file: ../readings.csv, sample: {one.readings[number + 1].sample}}}"
    if number == 0:
        yield f"    recipe: {one.recipe}"
    if number == 0 and case.note and one.zone == "cervical":
        yield f"    note: {case.note}"


def _layer_text(layer: Layer) -> str:
    pot = ", ".join(f"{name}: {share:g}" for name, share in layer.pot.shares)
    return f"{{pot: {{{pot}}}, coats: {layer.coats}}}"


def _later(fired_at: str, number: int) -> str:
    return f"{fired_at[:11]}{int(fired_at[11:13]) + 2 * number:02d}{fired_at[13:]}"


# ---------------------------------------------------------------- recipes in their different lives


def _recipes(wanted: dict[str, LabValues]) -> dict[str, list[LabRecipe]]:
    """The revisions of each recipe; ``wanted`` is the colour that it was first used for."""

    def one(name: str, state: str, zone: str | None, **more: object) -> LabRecipe:
        tissue = tissue_of(zone) if zone else None
        holds = Conditions(material="zirconia", stage="blasted", tissue=tissue, zone=zone)
        target = LabRef(wanted[name], VIEWING) if name in wanted else None
        found = LabRecipe(name, PAINTED.get(name, ()), state, holds, target)
        return replace(found, **more)  # type: ignore[arg-type]

    neck = one("warm neck", "draft", "cervical", layers=_layers(({"saddle": 1 / 8, "pollen": 1 / 4}, 1)))
    thinner = one("warm neck", "tried", "cervical", based_on=1, why="too yellow beside 22: half the pollen")
    return {
        "warm neck": [neck, thinner, replace(thinner, state="approved", based_on=2, why="held on three pieces")],
        "soft middle": [one("soft middle", "approved", "middle", notes="on stile or hurdle")],
        "pale middle": [one("pale middle", "tried", "middle")],
        "cool edge": [one("cool edge", "tried", "incisal", notes="thin, or it greys")],
        "old neck": [
            one("old neck", "approved", "cervical"),
            one("old neck", "retired", "cervical", based_on=1, why="muddy: came back for its shade"),
        ],
        "gum in two": [one("gum in two", "approved", "mucosa", notes="dry well before the second layer")],
        "violet edge": [one("violet edge", "draft", "incisal", layers=_layers(({"heather": 1 / 16}, 1)))],
    }
