"""Makes the demonstration lab: ``python -m tests.worlds.make_demo [FOLDER]`` writes ``recipes/``.

The same seed gives the same files. The light comes from radiative transfer, the hand scatters, nothing was measured.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable
from dataclasses import replace
from functools import cache
from pathlib import Path

from stainbook.records import CLEAR, Chip, LabValues, Layer, Pot, Reading, Stain
from tests.worlds import samples
from tests.worlds.bodies import Blank, plate
from tests.worlds.coloured import blank_of_colour
from tests.worlds.demo_history import FOLDER as FINISHED
from tests.worlds.demo_history import write_history
from tests.worlds.demo_lab import (
    ARCH,
    ARCH_APPLY,
    ARCH_BASE,
    ARCH_LIKE,
    BLANKS,
    DEMO_WORLD,
    GREEN,
    GUIDE,
    GUM_TABS,
    HAND,
    INFILTRATING,
    LOTS,
    NOTES,
    RECIPES,
    SINGLE,
    SINGLE_ZONES,
    TARGETS,
    TOOTH_TABS,
    DemoZone,
    arch_zones,
)
from tests.worlds.lab import Piece
from tests.worlds.pigments import absorption
from tests.worlds.write import layer_rows, write_chips, write_readings, write_rows, write_stains

FOLDER = Path(__file__).resolve().parents[2] / "recipes"
SIMULATED = (
    "# Simulated, not measured: an invented lab, its light from radiative transfer (adding-doubling),\n"
    f"# the hand of its chips scatters by {HAND:.0%} a coat. Made by python -m tests.worlds.make_demo\n"
)
SOAKED_SHARES = ((1.0, 1), (1.0, 2), (1 / 4, 1))  # stripes of an infiltrating stain: share, passes
WORLD = DEMO_WORLD


def main(folder: Path = FOLDER) -> None:
    """Write all files of the demonstration lab into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    chips = [*_fired_chips().chips, *_soaked_chips()]
    write_stains(folder / "stains.yaml", demo_stains(), heading=SIMULATED)
    write_chips(folder / "chips.csv", [_with_lots(chip) for chip in chips])
    write_readings(folder / "readings.csv", lab_readings(), heading=SIMULATED)
    write_readings(folder / "targets.csv", target_readings(), heading=SIMULATED)
    write_readings(folder / f"{ARCH}.csv", arch_readings(), heading=SIMULATED)
    write_readings(folder / f"{SINGLE}.csv", single_readings(), heading=SIMULATED)
    _write_bodies(folder / "bodies.csv")
    write_rows(folder / "guide.csv", ("guide", "tab", "zone", "tissue"), [(GUIDE, *tab[:3]) for tab in _tabs()])
    _write_recipes(folder / "recipes.csv")
    (folder / f"{ARCH}.yaml").write_text(arch_case(), encoding="utf-8", newline="\n")
    (folder / f"{SINGLE}.yaml").write_text(single_case(), encoding="utf-8", newline="\n")
    (folder / f"{GREEN}.yaml").write_text(green_case(), encoding="utf-8", newline="\n")
    write_history(folder / FINISHED, SIMULATED)
    (folder / "README.md").write_text(README, encoding="utf-8", newline="\n")


# ---------------------------------------------------------------- stains, plates, blanks, guide


def demo_stains() -> list[Stain]:
    """Surface stains, the infiltrating ones, clear."""
    surface = [replace(stain, lot=LOTS.get(stain.name), notes=NOTES.get(stain.name)) for stain in samples.stains(WORLD)]
    soaking = [
        Stain(name, "infiltrating", family, ("zirconia",), ("green",), LOTS[name])
        for name, family in INFILTRATING.items()
    ]
    return [*surface[:-1], *soaking, surface[-1]]


@cache
def _fired_chips() -> samples.ChipSet:
    return samples.chips(WORLD)


def _soaked_chips() -> list[Chip]:
    return [
        Chip(f"bracken-{number}", "plate-pale", (Layer(Pot.of({"bracken": share}), passes),), "bench-1")
        for number, (share, passes) in enumerate(SOAKED_SHARES, start=1)
    ]


def _with_lots(chip: Chip) -> Chip:
    layers = tuple(replace(layer, lots=tuple((s, LOTS[s]) for s in layer.pot.stains)) for layer in chip.layers)
    return replace(chip, layers=layers)


def _soaked_readings() -> list[Reading]:
    rng = WORLD.rng("soaked")
    liquid = 0.02 * absorption("orange", WORLD.rng("bracken"))  # per mm of soaked zirconia, one pass
    made = []
    for chip in _soaked_chips():
        (layer,) = chip.layers
        amount = layer.pot.shares[0][1] * float(rng.lognormal(0, HAND, layer.coats).sum())
        piece = WORLD.piece(replace(plate(chip.body), soaked=amount * liquid))
        made.append(samples.to_reading(chip.chip, WORLD.read(piece, rng=rng), piece.surface))
    return made


def lab_readings() -> list[Reading]:
    """Plates, chips, blanks and guide tabs."""
    rng = WORLD.rng("lab")
    blanks = [_bare(name, *made, rng_name=name) for name, made in BLANKS.items()]
    tabs = [
        samples.to_reading(f"{GUIDE}/{tab}/{zone}", WORLD.read(_glazed(tab + zone, tissue, colour), rng=rng), "glazed")
        for tab, zone, tissue, colour in _tabs()
    ]
    return [*_fired_chips().readings, *_soaked_readings(), *blanks, *(replace(r, stage="glazed") for r in tabs)]


def _tabs() -> list[tuple[str, str, str, LabValues]]:
    sets = [(TOOTH_TABS, "tooth"), (GUM_TABS, "gingiva")]
    return [
        (tab, zone, tissue, lab) for tabs, tissue in sets for tab, zones in tabs.items() for zone, lab in zones.items()
    ]


def _blank(name: str, tissue: str, colour: LabValues) -> Blank:
    return blank_of_colour(WORLD, name, tissue, colour)


def _glazed(name: str, tissue: str, colour: LabValues) -> Piece:
    return WORLD.fire(WORLD.piece(_blank(name, tissue, colour)), (Layer(Pot.of({})),), ideal=True)


def _bare(sample: str, tissue: str, colour: LabValues, *, rng_name: str) -> Reading:
    piece = WORLD.piece(_blank(sample, tissue, colour))
    return samples.to_reading(sample, WORLD.read(piece, rng=WORLD.rng("bare", rng_name)), piece.surface)


def target_readings() -> list[Reading]:
    """Colours to reach that were read elsewhere than on the guide."""
    rng = WORLD.rng("targets")
    pieces = [_glazed(name, *made) for name, made in TARGETS.items()]
    return [samples.to_reading(p.name, WORLD.read(p, rng=rng), "glazed", stage="glazed") for p in pieces]


def _write_bodies(path: Path) -> None:
    header = ("body", "material", "lot", "thickness_mm", "backing", "sintering_programme", "surface")
    plates = [(name, "zirconia", f"Z-{i}", 2.5, "grey", "long", "matt") for i, name in enumerate(samples.PLATES, 11)]
    blanks = [(name, "zirconia", f"Z-{i}", 1.6, "grey", "long", "matt") for i, name in enumerate(BLANKS, 21)]
    write_rows(path, header, [*plates, *blanks])


def _write_recipes(path: Path) -> None:
    rows = [(name, body, *row) for name, (body, layers) in RECIPES.items() for row in layer_rows(layers)]
    write_rows(path, ("recipe", "body", "layer", "stain", "strength", "coats"), rows)


# ---------------------------------------------------------------- cases


def arch_pieces() -> dict[tuple[int, str], Piece]:
    """The zones of the arch after the first firing, in which a thin base went on by hand."""
    rng = WORLD.rng(ARCH)
    heat = WORLD.heat_of(rng)
    return {
        (zone.tooth, zone.zone): WORLD.fire(
            WORLD.piece(_blank(_sample(ARCH, zone), zone.tissue, zone.blank)),
            ARCH_BASE[zone.tissue],
            rng=rng,
            heat=heat,
        )
        for zone in arch_zones()
    }


def arch_readings() -> list[Reading]:
    """What was read on the arch after its first firing."""
    rng = WORLD.rng(ARCH, "read")
    pieces = arch_pieces().values()
    return [samples.to_reading(p.name, WORLD.read(p, rng=rng), "glazed", stage="stained") for p in pieces]


def single_readings() -> list[Reading]:
    """What was read on the single tooth, blasted."""
    bare = [_bare(_sample(SINGLE, z), z.tissue, z.blank, rng_name=_sample(SINGLE, z)) for z in SINGLE_ZONES]
    return [replace(reading, stage="blasted") for reading in bare]


def _sample(case: str, zone: DemoZone) -> str:
    return f"{case}-{zone.tooth}-{zone.zone}"


def _zone_lines(case: str, zones: Iterable[DemoZone]) -> str:
    lines = []
    for zone in zones:
        lines += [f"  - tooth: {zone.tooth}", f"    zone: {zone.zone}"]
        lines += [f"    now: {{file: {case}.csv, sample: {_sample(case, zone)}}}"]
        lines += [f"    target: {zone.target}"] if zone.target else []
    return "\n".join(lines) + "\n"


def arch_case() -> str:
    """The case file of the arch: the right side and 21 were read, the rest is like them."""
    zones = arch_zones()
    like = [
        f"  - {{tooth: {left}, zone: {z.zone}, like: {{tooth: {right}, zone: {z.zone}}}}}\n"
        for left, right in ARCH_LIKE
        for z in zones
        if z.tooth == right
    ]
    teeth, tab = ARCH_APPLY
    return (
        f"{SIMULATED}# Full upper arch on implants, monolithic zirconia, after its first firing (a thin base layer).\n"
        f"case: {ARCH}\nmaterial: zirconia\nstage: stained\nfinish: glaze\nzones:\n"
        f"{_zone_lines(ARCH, zones)}{''.join(like)}"
        f"apply: {{teeth: {teeth}, guide: {GUIDE}, tab: {tab}}}\n"
        "effects:\n"
        "  - {tooth: 11, effect: halo, place: incisal edge, pot: {flour: 1/4}, note: thin}\n"
        "  - {tooth: 16, effect: fissure, place: occlusal, pot: {saddle: 1/2}}\n"
        "  - {tooth: 13, effect: vessel, place: mucosa, pot: {garnet: 1/4}}\n"
        "operator: bench-1\n"
        "limits: {firings_left: 2, layers: 2, coats: 2, pots: 10, strengths: [1/16, 1/8, 1/4, 1/2, 1]}\n"
    )


def single_case() -> str:
    """The case file of the single front tooth."""
    return (
        f"{SIMULATED}# Single front tooth, blasted zirconia that will be glazed.\n"
        f"case: {SINGLE}\nmaterial: zirconia\nstage: blasted\nfinish: glaze\nzones:\n"
        f"{_zone_lines(SINGLE, SINGLE_ZONES)}"
        "operator: bench-1\n"
        "limits: {firings_left: 2, layers: 1, coats: 2}\n"
    )


def green_case() -> str:
    """The case file of a crown that is not sintered yet: its blank is known, it has no reading."""
    return (
        f"{SIMULATED}# Milled crown before sintering: only what infiltrates can go on.\n"
        f"case: {GREEN}\nmaterial: zirconia\nstage: green\nfinish: glaze\nzones:\n"
        f"  - {{tooth: 24, zone: middle, now: {{body: weir}}, target: {{guide: {GUIDE}, tab: oat-pale}}}}\n"
        f"  - {{tooth: 24, zone: cervical, now: {{body: weir}}, target: {{guide: {GUIDE}, tab: oat-pale}}}}\n"
    )


README = f"""# The demonstration lab

An invented lab: its stains, blanks, guide, cases and hands are ours, and **nothing here was measured**.
The readings are simulated by radiative transfer (adding-doubling, Fresnel interfaces, zirconia of index 2.15 that
is read matt and glazed afterwards). The hand that fired the chips scatters by {HAND:.0%} a coat, the firings by 3 %,
the readings by 0.1 %. Do not fire these recipes on a real piece.

| file | holds |
| --- | --- |
| `stains.yaml` | {len(DEMO_WORLD.stains)} surface stains, two that infiltrate (`rook` has no chips yet), `{CLEAR}` |
| `bodies.csv` | the two plates that chips are fired on, and five blanks |
| `chips.csv` | clear glaze on each plate, seven stripes a surface stain, three of `bracken` |
| `guide.csv` | the house guide: five tooth tabs, three gum tabs |
| `readings.csv` | plates, chips, blanks, guide tabs |
| `targets.csv` | a neighbouring tooth and gum that must be met |
| `recipes.csv` | layers to predict |
| `{ARCH}.yaml`, `.csv` | a full upper arch of twelve teeth with gum on implants, after its first firing |
| `{SINGLE}.yaml`, `.csv` | a single front tooth, blasted, before glaze |
| `{GREEN}.yaml` | a crown before sintering |
| `{FINISHED}/` | six finished cases: `cases/`, `firings/` of two hands, `recipes/`, readings, a chip read each week |

`python -m tests.worlds.make_demo` writes these files again, from a fixed seed.
"""


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else FOLDER)
