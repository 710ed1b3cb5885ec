import pytest

from stainbook.files import read_readings
from stainbook.records import Viewing
from tests.files.helpers import BANDS, refused, saved

LAB = """CGATS.17
ORIGINATOR\t"example"
INSTRUMENTATION\t"bench sphere"
{header}
NUMBER_OF_FIELDS\t5
BEGIN_DATA_FORMAT
SAMPLE_ID\tSAMPLE_NAME\tLAB_L\tLAB_A\tLAB_B
END_DATA_FORMAT
NUMBER_OF_SETS\t2
BEGIN_DATA
1\t"11 cervical"\t75.10\t1.50\t18.20
2\t"11 middle"\t76.00\t1.10\t16.40
END_DATA
"""


def lab(*header):
    return LAB.format(header="\n".join(header))


def bands(*fields, values, header=()):
    """A table of one row of spectral fields."""
    return "\n".join(
        [
            "CGATS.17",
            *header,
            "BEGIN_DATA_FORMAT",
            " ".join(["SAMPLE_ID", *fields]),
            "END_DATA_FORMAT",
            "BEGIN_DATA",
            " ".join(["x", *values]),
            "END_DATA",
            "",
        ]
    )


def test_a_table_of_lab(tmp_path):
    readings = read_readings(saved(tmp_path, lab('WEIGHTING_FUNCTION "ILLUMINANT, D65"', 'OBSERVER_ANGLE "10"')))
    assert readings.samples == ("11 cervical", "11 middle")
    first = readings.get("11 cervical")
    assert first.lab == (75.1, 1.5, 18.2)
    assert (first.viewing, first.instrument) == (Viewing("D65", 10), "bench sphere")
    assert first.source.endswith("row 12")
    assert readings.warnings == ()


@pytest.mark.parametrize(
    ("header", "viewing"),
    [
        (['WEIGHTING_FUNCTION "ILLUMINANT, D65"', 'WEIGHTING_FUNCTION "OBSERVER, 2 degree"'], Viewing("D65", 2)),
        (["ILLUMINATION_NAME D65", "OBSERVER_ANGLE 10"], Viewing("D65", 10)),
        (['ILLUMINATION_NAME "A"', 'OBSERVER "10°"'], Viewing("A", 10)),
        (['MEASUREMENT_SOURCE "Illumination=D65 ObserverAngle=2degree Filter=no"'], Viewing("D65", 2)),
        (["ILLUMINANT FL11", 'OBSERVER "CIE 1964"'], Viewing("F11", 10)),
        (['ILLUMINANT "unknown"', 'OBSERVER "unknown"'], Viewing("unknown", 0)),
    ],
)
def test_light_and_observer_as_headers_state_them(tmp_path, header, viewing):
    readings = read_readings(saved(tmp_path, lab(*header)))
    assert {reading.viewing for reading in readings.all} == {viewing}
    assert readings.warnings == ()


def test_what_no_header_states_is_the_caller_s_else_the_standard_s_and_told(tmp_path):
    path = saved(tmp_path, lab('WEIGHTING_FUNCTION "OBSERVER, 10 degree"'))
    assert read_readings(path, viewing=Viewing("D65", 2)).all[0].viewing == Viewing("D65", 10)
    path = saved(tmp_path, lab("DESCRIPTOR x"))
    readings = read_readings(path)
    assert readings.all[0].viewing == Viewing("D50", 2)
    assert len(readings.warnings) == 1
    assert "D50, 2°" in readings.warnings[0]


def test_lights_that_contradict_each_other_are_refused(tmp_path):
    refused(read_readings, saved(tmp_path, lab("ILLUMINANT D65", "ILLUMINATION_NAME D50")), "D50", "D65 as in row 4")


NAMES = ["SPECTRAL_NM{}", "SPECTRAL_NM_{}", "NM_{}", "NM{}", "R{}", "R_{}", "SPECTRAL_{}", "SPECTRAL_DEC_{}", "{}"]


@pytest.mark.parametrize("name", NAMES)
def test_names_of_bands(tmp_path, name):
    text = bands(*(name.format(w) for w in BANDS), values=["0.5"] * len(BANDS))
    reading = read_readings(saved(tmp_path, text)).get("x")
    assert reading.wavelengths == BANDS
    assert set(reading.reflectance) == {0.5}


def test_percent(tmp_path):
    named = bands(*(f"SPECTRAL_PCT_{w}" for w in BANDS), values=["50"] * len(BANDS))
    assert set(read_readings(saved(tmp_path, named)).all[0].reflectance) == {0.5}
    said = bands(*(f"NM_{w}" for w in BANDS), values=["50"] * len(BANDS), header=['SCALE "percent"'])
    assert set(read_readings(saved(tmp_path, said)).all[0].reflectance) == {0.5}
    unsaid = bands(*(f"NM_{w}" for w in BANDS), values=["50"] * len(BANDS))
    refused(read_readings, saved(tmp_path, unsaid), "50", "scale")


@pytest.mark.parametrize(("kind", "value"), [("PCT", "50"), ("DEC", "0.5")])
def test_pairs_of_wavelength_and_value(tmp_path, kind, value):
    fields = [name for _ in BANDS for name in ("SPECTRAL_NM", f"SPECTRAL_{kind}")]
    text = bands(*fields, values=[cell for w in BANDS for cell in (f"{w}.0", value)])
    reading = read_readings(saved(tmp_path, text)).get("x")
    assert reading.wavelengths == BANDS
    assert set(reading.reflectance) == {0.5}
    other = text.replace(
        "END_DATA\n", " ".join(["y", *(c for w in BANDS for c in (f"{w + 1}", value))]) + "\nEND_DATA\n"
    )
    refused(read_readings, saved(tmp_path, other), "other wavelengths", "row 6")


@pytest.mark.parametrize(
    "row",
    ['"a b" 70,5 1 12', "a\\ b\t70,5\t1\t12", "a b\t70,5\t1\t12", '  "a b"   70,5  1 12 '],
)
def test_fields_split_at_any_white_space_or_at_tabs(tmp_path, row):
    text = "BEGIN_DATA_FORMAT\nSAMPLE_NAME LAB_L\n LAB_A LAB_B\nEND_DATA_FORMAT\nBEGIN_DATA\n" + row + "\nEND_DATA\n"
    readings = read_readings(saved(tmp_path, text), viewing=Viewing("D65", 2))
    assert readings.all[0].lab == (70.5, 1.0, 12.0)


def test_comments_and_fields_that_say_nothing_here_are_passed_over(tmp_path):
    text = (
        lab("ILLUMINANT D65", "OBSERVER 2", "# a comment").replace("LAB_B\n", "LAB_B XYZ_X\n").replace("S\t5", "S\t6")
    )
    text = text.replace("18.20", "18.20 50").replace("16.40", "16.40 51")
    assert read_readings(saved(tmp_path, text)).warnings == ()


@pytest.mark.parametrize(
    ("old", "new", "parts"),
    [
        ("END_DATA\n", "", ("no END_DATA", "cut short")),
        ("END_DATA_FORMAT\n", "", ("BEGIN_DATA", "END_DATA_FORMAT", "row 9")),
        ("BEGIN_DATA_FORMAT\n", "", ("END_DATA_FORMAT", "BEGIN_DATA_FORMAT")),
        ("SETS\t2", "SETS\t3", ("NUMBER_OF_SETS '3'", "2", "row 9")),
        ("FIELDS\t5", "FIELDS\t4", ("NUMBER_OF_FIELDS '4'", "5")),
        ("\t18.20", "", ("row 11", "4 fields", "5")),
        ('"11 cervical"\t', "11 cervical ", ("row 11", "6 fields", "quotes")),
        ('cervical"', "cervical", ("row 11", "paired quotes")),
        ("75.10", "nan", ("row 11", "'nan'", "a number")),
        ("75.10", "175.10", ("L* from 0 to 100",)),
        ("18.20", "18,20", ("row 11", "decimal point")),
        ("SAMPLE_NAME", "LAB_L", ("twice",)),
        ("SAMPLE_ID\tSAMPLE_NAME", "ONE\tTWO", ("a column 'sample'",)),
        ("LAB_B", "XYZ_X", ("wavelength columns",)),
        ("END_DATA\n", "END_DATA\nBEGIN_DATA_FORMAT\n", ("BEGIN_DATA_FORMAT", "one table a file")),
    ],
)
def test_malformed_tables_are_refused(tmp_path, old, new, parts):
    text = lab("ILLUMINANT D65")
    assert old in text
    refused(read_readings, saved(tmp_path, text.replace(old, new)), *parts)


def test_repeats_are_averaged(tmp_path):
    text = lab("ILLUMINANT D65", "OBSERVER 2").replace("11 middle", "11 cervical")
    (reading,) = read_readings(saved(tmp_path, text)).all
    assert (reading.repeats, reading.lab[0]) == (2, pytest.approx(75.55, abs=1e-12))


def test_sets_may_run_over_line_ends_where_their_number_is_stated(tmp_path):
    text = lab("ILLUMINANT D65", "OBSERVER 2").replace('"11 cervical"\t', '"11 cervical"\n').replace("\n2\t", "\n2\n")
    readings = read_readings(saved(tmp_path, text))
    assert readings.get("11 cervical").lab == (75.1, 1.5, 18.2)
    assert readings.get("11 middle").source.endswith("row 14")
    refused(read_readings, saved(tmp_path, text.replace("NUMBER_OF_SETS\t2\n", "")), "fields", "5 as in")
