"""Readings to colours; the numbers of the file are met, what is asked is computed or refused."""

import numpy as np
import pytest

from stainbook.colour import delta_e_2000, spectrum_to_lab
from stainbook.errors import ConditionsError, UnknownNameError
from stainbook.work.reading.convert import convert
from stainbook.work.reading.viewing_conditions import OWN_SCALE, Asked
from tests.cli.console import RECIPES, write

LAB = ("sample,L,a,b,illuminant,observer", "x,70,1,15,D65,2", "y,71,2,16,D65,2")


def test_spectra_under_the_default_light():
    result = convert(RECIPES / "targets.csv")
    first = result.readings[0]
    assert (first.sample, first.illuminant, first.observer) == ("neighbour-21-middle", "D65", 10)
    assert first.C == pytest.approx(np.hypot(first.a, first.b), abs=1e-12)
    assert first.h == pytest.approx(np.degrees(np.arctan2(first.b, first.a)), abs=1e-9)
    assert result.warnings == []


def test_spectra_under_another_light(tmp_path):
    path = write(tmp_path / "r.csv", "sample," + ",".join(map(str, range(400, 701, 20))), "x" + ",0.5" * 16)
    (one,) = convert(path, Asked("a", 2)).readings
    expected = spectrum_to_lab([0.5] * 16, range(400, 701, 20), illuminant="A", observer=2)
    assert (one.L, one.a, one.b) == tuple(expected)
    assert (one.illuminant, one.observer) == ("A", 2)


def test_lab_keeps_its_own_light(tmp_path):
    result = convert(write(tmp_path / "r.csv", *LAB))
    assert [(one.L, one.a, one.b, one.illuminant, one.observer) for one in result.readings] == [
        (70.0, 1.0, 15.0, "D65", 2),
        (71.0, 2.0, 16.0, "D65", 2),
    ]


def test_lab_of_another_light_is_refused_unless_adapted(tmp_path):
    path = write(tmp_path / "r.csv", *LAB)
    with pytest.raises(ConditionsError, match=r"r\.csv: row 2: 'x' .* D65/2°, expected D65/10° .*--adapt"):
        convert(path, Asked(observer=10))
    plain = convert(path).readings[0]
    result = convert(path, Asked(observer=10, adapt=True))
    adapted = result.readings[0]
    assert (adapted.illuminant, adapted.observer) == ("D65", 10)
    assert adapted.u > plain.u
    assert len(result.warnings) == 1
    assert "2 readings, the first 'x'" in result.warnings[0]
    assert "from D65/2° to D65/10° by L*a*b* alone, with more doubt" in result.warnings[0]


def test_unknown_light_is_said_and_can_be_stated(tmp_path):
    path = write(tmp_path / "r.csv", "sample,L,a,b", "x,70,1,15")
    result = convert(path)
    (one,) = result.readings
    assert (one.illuminant, one.observer, one.scale) == ("unknown", None, OWN_SCALE)
    assert any(OWN_SCALE in line for line in result.warnings)
    stated = convert(path, Asked("D50", 2)).readings[0]
    assert (stated.L, stated.illuminant, stated.observer, stated.scale) == (70.0, "D50", 2, None)


def test_half_a_statement_is_not_enough(tmp_path):
    path = write(tmp_path / "r.csv", "sample,L,a,b", "x,70,1,15")
    assert convert(path, Asked("D65")).readings[0].illuminant == "unknown"
    half = write(tmp_path / "h.csv", "sample,L,a,b,illuminant", "x,70,1,15,D65")
    assert convert(half, Asked(observer=2)).readings[0].observer == 2


@pytest.mark.parametrize("asked", [{"illuminant": "D66"}, {"observer": 5}, {"observer": 0}])
def test_lights_that_are_not_known_are_refused(asked):
    with pytest.raises(UnknownNameError):
        Asked(**asked)


def test_a_light_that_is_not_known_is_placed(tmp_path):
    path = write(tmp_path / "r.csv", "sample,L,a,b,illuminant,observer", "x,70,1,15,D66,2")
    with pytest.raises(UnknownNameError, match=r"r\.csv: row 2: unknown illuminant 'D66'"):
        convert(path)


def test_repeats_are_one_reading_with_their_doubt(tmp_path):
    rows = [f"x,{value},1,15,D65,2" for value in (69.9, 70.0, 70.1, 70.0)]
    (one,) = convert(write(tmp_path / "r.csv", LAB[0], *rows)).readings
    assert one.L == pytest.approx(70.0, abs=1e-12)
    assert (one.repeats, one.doubt_from) == (4, "repeats")
    assert one.u < convert(write(tmp_path / "s.csv", *LAB)).readings[0].u


def test_stages_and_times_are_readings_of_their_own(tmp_path):
    path = write(
        tmp_path / "r.csv",
        "sample,stage,taken_at,L,a,b,illuminant,observer",
        "x,sintered,,70,1,15,D65,10",
        "x,glazed,,72,1,15,D65,10",
        "x,glazed,2026-03-02,71,1,15,D65,10",
    )
    assert [(one.stage, one.taken_at, one.L) for one in convert(path).readings] == [
        ("sintered", None, 70.0),
        ("glazed", None, 72.0),
        ("glazed", "2026-03-02", 71.0),
    ]


def test_the_doubt_holds_the_true_colour_of_simulated_repeats(tmp_path):
    """Readings of one curve with the scatter of common practice: ``u`` holds the true colour in about 95 of 100."""
    rng = np.random.default_rng(20260302)
    nm = np.arange(400, 701, 10)
    R = 0.2 + 0.42 / (1 + np.exp(-(nm - 470) / 45)) + 0.00012 * (nm - 550)
    read = R * (1 + 0.003 * rng.standard_normal((400, 1))) + 0.001 * rng.standard_normal((400, nm.size))
    rows = [",".join([f"s{i}", *map("{:.6f}".format, row)]) for i, row in enumerate(read)]
    path = write(tmp_path / "r.csv", "sample," + ",".join(map(str, nm)), *rows)
    true = spectrum_to_lab(R, nm, illuminant="D65", observer=10)
    held = [float(delta_e_2000((one.L, one.a, one.b), true)) <= one.u for one in convert(path).readings]
    assert 0.92 <= np.mean(held) <= 0.99  # 95 % and what 400 draws and the step's 0.03 allow
