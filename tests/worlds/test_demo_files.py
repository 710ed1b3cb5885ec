"""The product's readers take the demonstration lab without a warning."""

from __future__ import annotations

import pytest

from stainbook import files
from stainbook.records import BodyRef, TabRef
from tests.worlds.demo_lab import ARCH, ARCH_APPLY, DEMO_WORLD, GREEN, RECIPES, SINGLE
from tests.worlds.make_demo import FOLDER


def test_tables_are_read_without_a_warning() -> None:
    chips, stains = files.read_chips(FOLDER / "chips.csv"), files.read_stains(FOLDER / "stains.yaml")
    bodies, guide = files.read_bodies(FOLDER / "bodies.csv"), files.read_guide(FOLDER / "guide.csv")
    recipes = files.read_recipes(FOLDER / "recipes.csv")
    for loaded in (chips, stains, bodies, guide, recipes):
        assert loaded.warnings == ()
    assert len(stains.records) == len(DEMO_WORLD.stains) + 3
    assert len(chips.records) == 2 + 7 * len(DEMO_WORLD.stains) + 3
    assert {(r.recipe, r.layers) for r in recipes.records} == {(name, layers) for name, (_, layers) in RECIPES.items()}


@pytest.mark.parametrize("name", ["readings", "targets", ARCH, SINGLE])
def test_readings_are_spectra(name: str) -> None:
    readings = files.read_readings(FOLDER / f"{name}.csv")
    assert readings.warnings == ()
    assert all(reading.is_spectral for reading in readings.all)


@pytest.mark.parametrize(("name", "zones"), [(ARCH, 48), (SINGLE, 3), (GREEN, 2)])
def test_cases_are_read(name: str, zones: int) -> None:
    guide = files.read_guide(FOLDER / "guide.csv").records
    loaded = files.read_case(FOLDER / f"{name}.yaml", guide=guide)
    (case,) = loaded.records
    assert loaded.warnings == ()
    assert len(case.zones) == zones
    own = [zone for zone in case.zones if zone.like is None]
    assert all(zone.target is not None and zone.now is not None for zone in own)


def test_the_applied_tab_reaches_the_back_teeth_on_both_sides() -> None:
    guide = files.read_guide(FOLDER / "guide.csv").records
    (case,) = files.read_case(FOLDER / f"{ARCH}.yaml", guide=guide).records
    teeth, tab = ARCH_APPLY
    targets = {zone.tooth: zone.target.colour for zone in case.zones if zone.target and zone.tooth in teeth}
    assert set(targets) == set(teeth)
    assert set(targets.values()) == {TabRef("house", tab)}


def test_the_green_crown_names_its_blank() -> None:
    (case,) = files.read_case(FOLDER / f"{GREEN}.yaml").records
    assert case.zones[0].now == BodyRef("weir")
