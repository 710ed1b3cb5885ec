import pytest

from stainbook.errors import InputError, UnknownNameError
from stainbook.files import read_readings
from stainbook.records import UNKNOWN_VIEWING, Viewing
from tests.files.helpers import BANDS, flat, refused, saved, spectral


def one(tmp_path, text, **options):
    readings = read_readings(saved(tmp_path, text), **options)
    assert len(readings.all) == 1
    return readings.all[0]


# ---------------------------------------------------------------- spectra


@pytest.mark.parametrize("band", ["{}", "R{}", "r{}", "{}nm", "{} nm", "R{}nm", "{}.0", "R {}"])
def test_names_of_wavelength_columns(tmp_path, band):
    reading = one(tmp_path, spectral(flat("a", "0.5"), band=band))
    assert reading.wavelengths == BANDS
    assert reading.reflectance == (0.5,) * len(BANDS)
    assert (reading.lab, reading.viewing, reading.is_spectral) == (None, None, True)


@pytest.mark.parametrize("band", ["R{} %", "{}%", "{} nm %", "{} (%)"])
def test_percent_in_the_header(tmp_path, band):
    assert one(tmp_path, spectral(flat("a", "50"), band=band)).reflectance == (0.5,) * len(BANDS)


@pytest.mark.parametrize(("scale", "factor"), [("percent", 0.005), ("Percent", 0.005), ("factor", 0.5), ("", 0.5)])
def test_scale_column(tmp_path, scale, factor):
    assert one(tmp_path, spectral(flat("a", "0.5", scale), extra=("scale",))).reflectance[0] == factor


def test_one_scale_for_the_whole_file(tmp_path):
    rows = [flat("a", "50", ""), flat("b", "50", "percent")]
    readings = read_readings(saved(tmp_path, spectral(*rows, extra=("scale",))))
    assert [reading.reflectance[0] for reading in readings.all] == [0.5, 0.5]
    mixed = spectral(flat("a", "0.5", "factor"), flat("b", "50", "percent"), extra=("scale",))
    refused(read_readings, saved(tmp_path, mixed), "row 3", "scale", "factor")
    contradicted = spectral(flat("a", "0.5", "factor"), extra=("scale",), band="{} %")
    refused(read_readings, saved(tmp_path, contradicted), "row 2", "scale", "percent")
    half = spectral(flat("a", "50")).replace("400", "400 %")
    refused(read_readings, saved(tmp_path, half), "with and without %")
    refused(read_readings, saved(tmp_path, spectral(flat("a", "50", "%"), extra=("scale",))), "factor, percent")


def test_a_value_too_large_names_scale(tmp_path):
    refused(read_readings, saved(tmp_path, spectral(flat("a", "1.2001"))), "row 2", "400", "1.2001", "scale")
    refused(read_readings, saved(tmp_path, spectral(flat("a", "120.5"), band="{}%")), "row 2", "120.5", "scale")
    assert one(tmp_path, spectral(flat("a", "1.2"))).reflectance[0] == 1.2
    assert one(tmp_path, spectral(flat("a", "120"), band="{}%")).reflectance[0] == 1.2


@pytest.mark.parametrize(("band", "least"), [("{}", "-0.005"), ("{} %", "-0.5")])
def test_values_a_little_below_zero_are_set_to_zero_with_a_warning(tmp_path, band, least):
    readings = read_readings(saved(tmp_path, spectral(flat("z", "0"), flat("a", least), flat("b", least), band=band)))
    assert {value for reading in readings.all for value in reading.reflectance} == {0.0}
    assert len(readings.warnings) == 1
    assert "2 rows, the first is row 3" in readings.warnings[0]


@pytest.mark.parametrize(("band", "value"), [("{}", "-0.0051"), ("{} %", "-0.51")])
def test_values_further_below_zero_are_refused(tmp_path, band, value):
    found = refused(read_readings, saved(tmp_path, spectral(flat("a", value), band=band)), "row 2", value)
    assert "scale" not in found


@pytest.mark.parametrize("step", [5, 10, 20])
@pytest.mark.parametrize(("first", "last"), [(400, 700), (380, 780), (360, 740)])
def test_grids(tmp_path, step, first, last):
    waves = list(range(first, last + 1, step))
    text = ",".join(["sample", *map(str, waves)]) + "\n" + ",".join(["a", *["0.5"] * len(waves)])
    assert one(tmp_path, text).wavelengths == tuple(waves)


@pytest.mark.parametrize(
    ("waves", "part"),
    [
        (range(410, 701, 10), "410 to 700"),
        (range(400, 691, 10), "400 to 690"),
        ([*range(400, 551, 10), *range(570, 701, 10)], "10, 20"),
        (range(400, 701, 15), "15"),
        (range(400, 701, 1), "steps of 1"),
        ([400], "400 to 400"),
    ],
)
def test_other_grids_are_refused(tmp_path, waves, part):
    text = ",".join(["sample", *map(str, waves)]) + "\n" + ",".join(["a", *["0.5"] * len(waves)])
    refused(read_readings, saved(tmp_path, text), "header", part, "5, 10 or 20 nm", "400 to 700")


def test_wavelengths_may_come_in_any_order_but_once(tmp_path):
    waves = list(reversed(BANDS))
    text = ",".join(["sample", *map(str, waves)]) + "\n" + ",".join(["a", *(str(w / 1000) for w in waves)])
    assert one(tmp_path, text).reflectance == tuple(w / 1000 for w in BANDS)
    refused(
        read_readings, saved(tmp_path, spectral(flat("a", "0.5") + ",1").replace("700", "700,R400")), "400 nm twice"
    )


@pytest.mark.parametrize("cell", ["x", "nan", "inf", "0,5", "1e999", "0.5 0.5", "#N/A"])
def test_a_cell_that_is_no_number_is_named(tmp_path, cell):
    row = flat("b", "0.5").split(",")
    row[3] = f'"{cell}"'
    text = "# a line\n\n" + spectral(flat("a", "0.5"), ",".join(row), band="R{}")
    refused(read_readings, saved(tmp_path, text), "row 5", "column R440", repr(cell), "a number")


def test_an_empty_band_is_refused_and_a_grid_of_another_instrument_is_not(tmp_path):
    row = flat("a", "0.5").split(",")
    row[2] = ""
    refused(read_readings, saved(tmp_path, spectral(",".join(row))), "row 2", "column 420", "empty")
    waves = range(390, 701, 10)
    tens = ",".join(["tens", *["0.4"] * len(waves)])
    twenties = ",".join(["twenties", *("0.3" if w % 20 == 0 else "" for w in waves)])
    readings = read_readings(saved(tmp_path, "\n".join([",".join(["sample", *map(str, waves)]), tens, twenties])))
    assert readings.get("twenties").wavelengths == BANDS
    assert readings.get("tens").wavelengths == tuple(waves)


# ---------------------------------------------------------------- L*, a*, b*


@pytest.mark.parametrize("header", ["sample,L,a,b", "Sample,l,A,B", "SAMPLE,L*,a*,b*", "sample, L* , a* , b* "])
def test_lab_columns(tmp_path, header):
    reading = one(tmp_path, f"{header}\nx,70.5,1,-2")
    assert (reading.lab, reading.viewing) == ((70.5, 1.0, -2.0), UNKNOWN_VIEWING)
    assert not reading.viewing.known


@pytest.mark.parametrize(
    ("cells", "viewing"),
    [
        ("D65,2", Viewing("D65", 2)),
        ("d50,10", Viewing("D50", 10)),
        ("A,10°", Viewing("A", 10)),
        ("led-b3,", Viewing("LED-B3", 10)),
        (",2", Viewing("F11", 2)),
        ("unknown,unknown", UNKNOWN_VIEWING),
    ],
)
def test_illuminant_and_observer_come_from_columns_else_from_the_caller(tmp_path, cells, viewing):
    text = f"sample,L,a,b,illuminant,observer\nx,70,1,2,{cells}"
    assert one(tmp_path, text, viewing=Viewing("F11", 10)).viewing == viewing


def test_a_row_may_be_lab_beside_rows_that_are_spectra(tmp_path):
    both = spectral(flat("s", "0.5", "", "", ""), "c,70,1,2" + "," * len(BANDS), extra=("L", "a", "b"))
    readings = read_readings(saved(tmp_path, both))
    assert readings.get("s").is_spectral
    assert readings.get("c").lab == (70.0, 1.0, 2.0)
    assert not readings.warnings


def test_a_spectrum_wins_over_lab_beside_it_and_says_so(tmp_path):
    readings = read_readings(saved(tmp_path, spectral(flat("s", "0.5", "70", "1", "2"), extra=("L", "a", "b"))))
    assert readings.all[0].lab is None
    assert "not used" in readings.warnings[0]


@pytest.mark.parametrize(
    ("row", "parts"),
    [
        (",70,1,2,D65,2", ["row 2", "column sample"]),
        ("x,,,,D65,2", ["row 2", "no colour"]),
        ("x,70,,2,D65,2", ["row 2", "column a", "empty"]),
        ("x,170,1,2,D65,2", ["row 2", "column L", "170"]),
        ("x,-1,1,2,D65,2", ["row 2", "column L", "-1"]),
        ("x,70,1,999,D65,2", ["row 2", "column b", "999"]),
        ("x,70,1,2,D65,5", ["row 2", "column observer", "'5'", "2 or 10"]),
        ("x,70,1,two,D65,2", ["row 2", "column b", "'two'"]),
    ],
)
def test_malformed_lab_rows_are_refused(tmp_path, row, parts):
    refused(read_readings, saved(tmp_path, f"sample,L,a,b,illuminant,observer\n{row}"), *parts)


# ---------------------------------------------------------------- dialects and words


@pytest.mark.parametrize(
    "text",
    [
        "sample;L;a;b\nx;70,5;1;-2,25",
        "sample;L;a;b\nx;70.5;1;-2.25",
        "sample\tL\ta\tb\nx\t70,5\t1\t-2,25",
        'sample,L,a,b\nx,"70,5",1,"-2,25"',
        "\ufeffsample,L,a,b\r\nx,70.5,1,-2.25\r\n",
        "# from the bench\n\nsample,L,a,b\n#\nx,70.5,1,-2.25\n\n",
        "sep=;\nsample;L;a;b\nx;70,5;1;−2,25",
    ],
)
@pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
def test_dialects(tmp_path, text, encoding):
    path = tmp_path / "r.csv"
    path.write_bytes(text.lstrip("\ufeff" if encoding == "utf-16" else "").encode(encoding))
    assert read_readings(path).get("x").lab == (70.5, 1.0, -2.25)


def test_two_kinds_of_decimals_are_refused(tmp_path):
    refused(
        read_readings, saved(tmp_path, "sample;L;a;b\nx;70,5;1;2\ny;70.5;1;2"), "row 3", "column L", "decimal comma"
    )
    refused(read_readings, saved(tmp_path, "sample;L;a;b\nx;70,5;1.5;2"), "row 2", "column a", "decimal comma")


def test_the_words_of_a_reading(tmp_path):
    text = (
        "sample,L,a,b,stage,surface,tissue,instrument,geometry,specular,aperture_mm,backing,taken_at,notes\n"
        "0117,70,1,2,Glazed,MATT,Gingiva,bench,8°:d,Excluded,6,grey,2026-03-02T10:40:00Z,=1+1\n"
    )
    reading = one(tmp_path, text)
    assert (reading.sample, reading.stage, reading.surface, reading.tissue) == ("0117", "glazed", "matt", "gingiva")
    assert (reading.instrument, reading.geometry, reading.specular) == ("bench", "8°:d", "excluded")
    assert (reading.aperture_mm, reading.backing, reading.notes) == (6.0, "grey", "=1+1")
    assert reading.taken_at == "2026-03-02T10:40:00Z"
    assert reading.source.endswith("readings.csv: row 2")


@pytest.mark.parametrize(
    ("column", "cell", "part"),
    [
        ("surface", "shiny", "matt, polished, glazed, wet"),
        ("tissue", "bone", "tooth, gingiva"),
        ("specular", "maybe", "excluded, included"),
        ("aperture_mm", "0", "above 0"),
        ("aperture_mm", "6 mm", "a number"),
        ("taken_at", "02.03.2026", "2026-03-02T10:40:00Z"),
        ("repeats", "1.5", "whole number"),
    ],
)
def test_words_that_are_not_known_are_refused(tmp_path, column, cell, part):
    text = f"sample,L,a,b,{column}\nx,70,1,2,{cell}"
    refused(read_readings, saved(tmp_path, text), "row 2", f"column {column}", part)


def test_stage_is_free_text_and_other_columns_are_ignored_with_a_warning(tmp_path):
    readings = read_readings(saved(tmp_path, "sample,L,a,b,stage,Patient box\nx,70,1,2,after Tea,7"))
    assert readings.all[0].stage == "after Tea"
    assert len(readings.warnings) == 1
    assert "'Patient box'" in readings.warnings[0]


@pytest.mark.parametrize("text", ["sample,notes\nx,y", "sample,L,a\nx,70,1"])
def test_a_file_without_colour_columns_is_refused(tmp_path, text):
    refused(read_readings, saved(tmp_path, text), "header", "400, 410", "L, a, b")


def test_a_file_without_rows_is_refused(tmp_path):
    refused(read_readings, saved(tmp_path, "sample,L,a,b\n"), "no reading")


# ---------------------------------------------------------------- repeats and look-up


def test_repeats_are_averaged_and_their_scatter_kept(tmp_path):
    text = "sample,L,a,b,stage,notes\nx,70,1,2,s,one\nx,72,1,4,s,two\ny,50,0,0,,\nx,80,1,2,other,\n"
    readings = read_readings(saved(tmp_path, text))
    mean = readings.get("x", "s")
    assert (mean.lab, mean.repeats, mean.notes) == ((71.0, 1.0, 3.0), 2, "one; two")
    assert mean.scatter == pytest.approx((2**0.5, 0.0, 2**0.5), abs=1e-12)  # of 70, 72: sum of squares 2, less one
    single = readings.get("y")
    assert (single.repeats, single.scatter) == (1, None)


def test_spectra_are_averaged_band_by_band(tmp_path):
    readings = read_readings(saved(tmp_path, spectral(flat("x", "0.4"), flat("y", "0.1"), flat("x", "0.6"))))
    assert readings.samples == ("y", "x")  # in the order of their last rows
    assert readings.get("x").reflectance == pytest.approx((0.5,) * len(BANDS), abs=1e-12)
    assert readings.get("x").scatter == pytest.approx((0.02**0.5,) * len(BANDS), abs=1e-12)


def test_one_instant_written_in_two_ways_is_a_repeat(tmp_path):
    text = "sample,L,a,b,taken_at\nx,70,1,2,2026-03-02T10:40Z\nx,72,1,2,2026-03-02T11:40:00+01:00\n"
    assert one(tmp_path, text).repeats == 2


@pytest.mark.parametrize(
    ("column", "cells"), [("surface", ("matt", "glazed")), ("observer", ("2", "10")), ("backing", ("a", "b"))]
)
def test_repeats_that_were_read_otherwise_are_refused(tmp_path, column, cells):
    text = f"sample,L,a,b,{column}\nx,70,1,2,{cells[0]}\nx,70,1,2,{cells[1]}\n"
    refused(read_readings, saved(tmp_path, text), "row 3", column, "row 2")


def test_repeats_may_leave_out_what_another_row_says(tmp_path):
    assert one(tmp_path, "sample,L,a,b,surface\nx,70,1,2,\nx,70,1,2,matt\nx,70,1,2,\n").surface == "matt"


@pytest.mark.parametrize(
    ("rows", "lightness"),
    [
        (["1,,", "9,,s", "4,,"], 2.5),  # the first and third are repeats, and the third is the last row
        (["1,2026-01-02,", "2,2026-01-01,"], 1.0),
        (["1,2026-01-01T12:00+02:00,", "2,2026-01-01T11:00Z,"], 2.0),
        (["1,2026-01-01,", "2,,"], 1.0),
        (["1,2026-01-01,s", "2,2026-01-01,t"], 2.0),
        (["1,0001-01-01T00:00-23:59,s", "2,0001-01-01,t", "3,0001-01-01T00:00+23:59,u"], 1.0),  # the ends of time
    ],
)
def test_a_sample_alone_means_its_newest_reading_else_its_last_row(tmp_path, rows, lightness):
    text = "sample,L,a,b,taken_at,stage\n" + "".join(
        f"x,{r.split(',')[0]},0,0,{','.join(r.split(',')[1:])}\n" for r in rows
    )
    assert read_readings(saved(tmp_path, text)).get("x").lab == (lightness, 0.0, 0.0)


def test_a_name_that_is_not_there_is_told_with_the_nearest(tmp_path):
    readings = read_readings(saved(tmp_path, "sample,L,a,b,stage\nplate-pale,70,1,2,Glazed\n"))
    assert readings.get("plate-pale", "GLAZED").lab == (70.0, 1.0, 2.0)
    with pytest.raises(UnknownNameError, match=r"'plate-pail'; nearest known: plate-pale"):
        readings.get("plate-pail")
    with pytest.raises(UnknownNameError, match=r"stage of 'plate-pale'.*'matt'; known: glazed"):
        readings.get("plate-pale", "matt")
    with pytest.raises(InputError):
        readings.get("")
