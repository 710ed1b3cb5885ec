"""Two instruments: agreement, and the conversion whose doubt must hold for new samples."""

from pathlib import Path

import numpy as np
import pytest

from stainbook.colour.agreement import RESIDUAL_SD, Conversion, agreement, conversion

PUBLISHED = Path(__file__).parents[1] / "published" / "students_t.csv"
RNG = np.random.default_rng(7)
AT = np.zeros(3)
SPAN = np.array([8.0, 3.0, 5.0])


def labs(n):
    return np.array([70.0, 2.0, 16.0]) + SPAN * RNG.standard_normal((n, 3))


def test_the_same_readings_agree():
    lab = labs(5)
    found = agreement(lab, lab)
    assert found.dE00.max() == 0.0
    assert found.mean.tolist() == [0.0, 0.0, 0.0]
    there, _ = found.conversion.apply(lab)
    np.testing.assert_allclose(there, lab, atol=1e-12)


def test_mean_and_scatter_of_differences():
    first = labs(4)
    steps = np.array([[1.0, 0, 0], [3.0, 0, 0], [1.0, 0, 0], [3.0, 0, 0]])
    found = agreement(first, first + steps)
    assert found.mean.tolist() == pytest.approx([2.0, 0.0, 0.0], abs=1e-12)
    assert found.scatter[0] == pytest.approx(np.sqrt(4 / 3), abs=1e-12)
    assert found.error[0] == pytest.approx(np.sqrt(4 / 3) / 2, abs=1e-12)


def test_a_line_is_found_from_many_samples_and_held_to_equal_scales_by_few():
    slope, offset = np.array([1.04, 0.93, 1.06]), np.array([1.5, -0.4, 2.0])
    first = labs(400)
    second = first * slope + offset + RNG.normal(0, 0.3, (400, 3))
    assert conversion(first, second).slope == pytest.approx(slope, abs=0.02)  # 4 standard errors of a*
    few = conversion(first[:3], second[:3]).slope
    assert np.all(np.abs(few - 1.0) < 0.1)  # two prior standard deviations: three samples cannot turn a scale


@pytest.mark.parametrize("n", [3, 6])
def test_it_holds_where_instruments_scatter_twice_as_usual(n):
    """Student's t of what was read and of common practice together: 1.96 deviations held 80 and 85 %."""
    rng, inside = np.random.default_rng(n), []
    for _ in range(400):
        base = rng.uniform((60, 0, 10), (80, 5, 25), (n + 1, 3))
        other = base + rng.normal(0, 4, 3) + 2.0 * np.array(RESIDUAL_SD) * rng.standard_normal((n + 1, 3))
        way = conversion(base[:n], other[:n])
        there, sd = way.apply(base[n])
        inside.append(np.abs(other[n] - there) < way.wide * sd)
    assert np.mean(inside) > 0.87


def test_the_interval_is_as_wide_as_the_published_student_s_t():
    for freedom, t in np.loadtxt(PUBLISHED, delimiter=",", skiprows=2):
        assert Conversion(AT, AT, AT, np.zeros((3, 2, 2)), AT, freedom).wide == pytest.approx(t, abs=5e-4)
    assert conversion(labs(6), labs(6)).freedom == 8  # four of common practice, and six samples less a line's two


@pytest.mark.parametrize("n", [3, 6, 12])
def test_the_doubt_of_a_conversion_holds_for_new_samples(n):
    """95 % intervals of new samples, over invented pairs of instruments as the prior has them: 95 % ± 3."""
    inside = []
    for _ in range(300):
        slope, offset = 1.0 + 0.05 * RNG.standard_normal(3), 4.0 * RNG.standard_normal(3)
        first = labs(n + 5)
        centre = first.mean(axis=0)
        second = (
            centre + offset + slope * (first - centre) + np.array([0.6, 0.4, 0.5]) * RNG.standard_normal((n + 5, 3))
        )
        there, sd = conversion(first[:n], second[:n]).apply(first[n:])
        inside.append(np.abs(second[n:] - there) <= 1.96 * sd)
    assert np.mean(inside) == pytest.approx(0.95, abs=0.03)


@pytest.mark.parametrize(("first", "second"), [((2, 3), (2, 3)), ((4, 3), (5, 3)), ((4, 2), (4, 2))])
def test_too_few_samples_are_refused(first, second):
    with pytest.raises(ValueError, match="expected two of"):
        agreement(np.zeros(first), np.zeros(second))
