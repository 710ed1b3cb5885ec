"""What the tool writes it reads back unchanged."""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stainbook.apparatus import Jar
from stainbook.errors import InputError
from stainbook.files import (
    read_bodies,
    read_chips,
    read_guide,
    read_jars,
    read_readings,
    read_recipes,
    read_stains,
    write_bodies,
    write_chips,
    write_guide,
    write_jars,
    write_readings,
    write_recipes,
    write_stains,
)
from stainbook.files.readings_csv import SPECULAR
from stainbook.files.values import instant
from stainbook.records import (
    CONSISTENCIES,
    FAMILIES,
    STAGES,
    SURFACES,
    TISSUES,
    Body,
    Chip,
    GuideTab,
    Layer,
    Pot,
    Reading,
    Recipe,
    Stain,
    Viewing,
    tissue_of,
)
from tests.files.helpers import BANDS

# Names as labs may write them: formulas, comments, separators, words that YAML would turn into something else.
TRAPS = [
    "=1+1",
    "#3",
    "0117",
    "24_117",
    "no",
    "12:30",
    "~",
    "null",
    "a;b",
    "a,b",
    "a\tb",
    '5" tile',
    "- x",
    "{a}",
    "é %",
    "'",
]
names = st.sampled_from(TRAPS) | st.text(st.characters(exclude_categories=("Cs", "Cc")), min_size=1, max_size=8).map(
    str.strip
).filter(bool)
maybe = st.none() | names
shares = st.sampled_from((1 / 16, 1 / 3, 0.1, 0.25, 1 / 7))
times = st.none() | st.datetimes().map(lambda time: f"{time.isoformat()}Z")


def written(tmp_path_factory, write, read, records):
    path = tmp_path_factory.mktemp("files") / "file"
    write(path, records)
    return read(path)


def bare(records):
    """Records without the place that they were read from."""
    return tuple(replace(record, source="") for record in records)


labs = st.tuples(st.floats(0, 100), st.floats(-100, 100), st.floats(-100, 100))
spectra = st.tuples(*[st.floats(0, 1.2)] * len(BANDS))
words = {
    "stage": st.sampled_from(STAGES) | st.none(),
    "surface": st.sampled_from(SURFACES) | st.none(),
    "tissue": st.sampled_from(TISSUES) | st.none(),
    "specular": st.sampled_from(SPECULAR) | st.none(),
    "instrument": maybe,
    "backing": maybe,
    "geometry": maybe,
    "notes": maybe,
    "aperture_mm": st.floats(0.1, 20) | st.none(),
    "taken_at": times,
}
viewings = st.sampled_from((Viewing("D65", 10), Viewing("D50", 2), Viewing("unknown", 0)))


@st.composite
def readings(draw):
    described = {name: draw(word) for name, word in words.items()}
    repeats = draw(st.integers(1, 5))
    if draw(st.booleans()):
        colour = {"wavelengths": tuple(map(float, BANDS)), "reflectance": draw(spectra)}
        scatter = draw(st.tuples(*[st.floats(0, 0.1)] * len(BANDS)))
    else:
        colour = {"lab": draw(labs), "viewing": draw(viewings), "u": draw(st.none() | st.floats(0.1, 9))}
        scatter = draw(st.tuples(*[st.floats(0, 5)] * 3))
    return Reading(draw(names), repeats=repeats, scatter=scatter if repeats > 1 else None, **described, **colour)


def place(reading):
    return reading.sample, reading.stage, instant(reading.taken_at) if reading.taken_at else None


@pytest.mark.parametrize("name", ["file.csv", "file.txt", "file.cxf"])
@given(records=st.lists(readings(), min_size=1, max_size=4, unique_by=place))
def test_readings(tmp_path_factory, name, records):
    path = tmp_path_factory.getbasetemp() / name
    write_readings(path, records)
    found = read_readings(path)
    assert bare(found.all) == tuple(records)
    assert not found.warnings


def test_notes_over_lines_are_not_written_to_cgats(tmp_path):
    reading = Reading("x", lab=(70.0, 1.0, 12.0), viewing=Viewing("D65", 2), notes="seen\ntwice")
    with pytest.raises(InputError, match="write CSV or CxF3"):
        write_readings(tmp_path / "r.txt", [reading])
    write_readings(tmp_path / "r.cxf", [reading])
    assert bare(read_readings(tmp_path / "r.cxf").all) == (reading,)


def test_readings_of_grids_that_fit_no_common_one_are_not_written(tmp_path):
    grids = [tuple(range(400, 701, 10)), tuple(range(395, 706, 10)), tuple(range(380, 781, 20))]
    records = [Reading(str(i), tuple(map(float, grid)), (0.5,) * len(grid)) for i, grid in enumerate(grids)]
    with pytest.raises(InputError, match="separate files"):
        write_readings(tmp_path / "r.csv", records)
    write_readings(tmp_path / "r.csv", [records[0], records[2]][:1])
    assert bare(read_readings(tmp_path / "r.csv").all) == (records[0],)


@st.composite
def layers(draw, *, fired):
    pot = Pot.of(draw(st.dictionaries(names, shares, max_size=3)))
    lots = tuple(sorted(draw(st.dictionaries(st.sampled_from(pot.stains), names)).items())) if pot.stains else ()
    return Layer(
        pot,
        coats=draw(st.integers(1, 4)),
        lots=lots,
        consistency=draw(st.sampled_from(CONSISTENCIES) | st.none()),
        method=draw(maybe),
        firings=draw(st.integers(1, 5)) if fired else 1,
    )


def stacks(*, fired):
    return st.lists(layers(fired=fired), min_size=1, max_size=3).map(tuple)


chip_records = st.builds(Chip, names, names, stacks(fired=True), maybe, maybe, maybe, times)


@given(st.lists(chip_records, min_size=1, max_size=4, unique_by=lambda chip: chip.chip))
def test_chips(tmp_path_factory, records):
    found = written(tmp_path_factory, write_chips, read_chips, records)
    assert bare(found.records) == tuple(records)
    assert not found.warnings


@given(
    st.lists(st.builds(Recipe, names, names, stacks(fired=False)), min_size=1, max_size=4, unique_by=lambda r: r.recipe)
)
def test_recipes(tmp_path_factory, records):
    assert bare(written(tmp_path_factory, write_recipes, read_recipes, records).records) == tuple(records)


def test_the_lot_of_the_clear_glaze_is_kept(tmp_path):
    chip = Chip("c", "b", (Layer(Pot.of({"husk": 0.25}), lots=(("clear", "7"), ("husk", "8"))),))
    write_chips(tmp_path / "c.csv", [chip])
    assert bare(read_chips(tmp_path / "c.csv").records) == (chip,)


bodies = st.builds(
    Body, names, maybe, maybe, st.none() | st.floats(0.1, 15), maybe, maybe, st.none() | st.sampled_from(SURFACES)
)


@given(st.lists(bodies, min_size=1, max_size=4, unique_by=lambda body: body.body))
def test_bodies(tmp_path_factory, records):
    assert written(tmp_path_factory, write_bodies, read_bodies, records).records == tuple(records)


tabs = st.builds(GuideTab, names, names, st.just("cervical"), st.just("tooth")) | st.builds(
    GuideTab, names, names, names, st.sampled_from(TISSUES)
).filter(lambda tab: tissue_of(tab.zone.lower()) is None)


@given(st.lists(tabs, min_size=1, max_size=4, unique_by=lambda tab: tab.sample))
def test_guide(tmp_path_factory, records):
    assert written(tmp_path_factory, write_guide, read_guide, records).records == tuple(records)


stains = st.builds(
    Stain,
    names,
    st.sampled_from(("surface", "infiltrating", "resin")),
    st.none() | st.sampled_from(FAMILIES),
    st.none() | st.lists(names, max_size=3).map(tuple),
    st.none() | st.lists(st.sampled_from(STAGES), max_size=3).map(tuple),
    maybe,
    st.none() | st.integers(1, 9),
    maybe,
)


@given(st.lists(stains, min_size=1, max_size=4, unique_by=lambda stain: stain.name))
def test_stains(tmp_path_factory, records):
    assert written(tmp_path_factory, write_stains, read_stains, records).records == tuple(records)


days = st.none() | st.dates(min_value=date(2000, 1, 1), max_value=date(2026, 1, 1)).map(date.isoformat)
jars = st.builds(Jar, names, names, maybe, days, st.none(), maybe)


@given(st.lists(jars, min_size=1, max_size=4, unique_by=lambda one: (one.stain, one.lot)))
def test_jars(tmp_path_factory, records):
    assert written(tmp_path_factory, write_jars, read_jars, records).records == tuple(records)
