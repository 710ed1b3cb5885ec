"""Pairs by name, graded by their interval."""

import numpy as np
import pytest

from stainbook.colour import delta_e_2000_parts, spectrum_to_lab
from stainbook.errors import ConditionsError, InputError, UnknownNameError
from stainbook.work.reading.compare import compare
from stainbook.work.reading.viewing_conditions import OWN_SCALE, Asked
from tests.cli.console import write

HEAD = "sample,tissue,L,a,b,illuminant,observer"
SPECTRUM = "sample," + ",".join(map(str, range(400, 701, 10)))


@pytest.fixture
def files(tmp_path):
    def make(samples, targets, head=HEAD, target_head=None):
        left = write(tmp_path / "samples.csv", head, *samples)
        return left, write(tmp_path / "targets.csv", target_head or head, *targets)

    return make


def test_numbers_and_signs(files):
    (pair,) = compare(*files(["x,tooth,70,1,15,D65,10"], ["x,tooth,72,2,14,D65,10"])).pairs
    expected = delta_e_2000_parts((70, 1, 15), (72, 2, 14))
    assert (pair.dE00, pair.dL, pair.dC, pair.dH) == tuple(map(float, expected))
    assert pair.dL == -2.0
    assert (pair.sample, pair.target, pair.tissue, pair.thresholds) == ("x", "x", "tooth", "tooth-2015")
    assert (pair.illuminant, pair.observer) == ("D65", 10)


@pytest.mark.parametrize(("L", "grade"), [(70.5, "within"), (72.4, "cannot tell"), (76.0, "beyond")])
def test_grade_follows_from_the_interval(files, L, grade):
    (pair,) = compare(*files([f"x,tooth,{L},1,15,D65,10"], ["x,tooth,70,1,15,D65,10"])).pairs
    assert pair.grade == grade
    low, high = max(pair.dE00 - pair.u, 0.0), pair.dE00 + pair.u
    assert {"within": high <= 1.8, "cannot tell": low <= 1.8 < high, "beyond": low > 1.8}[grade]


def test_doubt_of_a_pair_is_more_than_of_either(files):
    (pair,) = compare(*files(["x,tooth,70,1,15,D65,10"], ["x,tooth,70,1,15,D65,10"])).pairs
    assert pair.dE00 == 0.0
    assert 0.5 < pair.u < 1.2  # about sqrt(2) times a single reading's


@pytest.mark.parametrize(
    ("sample", "target", "tissue"),
    [("x,gingiva", "x,", "gingiva"), ("x,", "x,gingiva", "gingiva"), ("W-1-11-margin,", "W-1-11-margin,", "gingiva")],
)
def test_tissue_by_column_else_by_name(files, sample, target, tissue):
    result = compare(*files([f"{sample},50,20,12,D65,10"], [f"{target},51,20,12,D65,10"]))
    assert (result.pairs[0].tissue, result.pairs[0].thresholds) == (tissue, "gum-2020")
    assert result.warnings == []


def test_no_tissue_is_graded_as_tooth_and_said(files):
    result = compare(*files(["x,,50,20,12,D65,10"], ["x,,51,20,12,D65,10"]))
    assert result.pairs[0].tissue == "tooth"
    assert "graded as tooth: 'x'" in result.warnings[0]


def test_two_tissues_are_refused(files):
    with pytest.raises(InputError, match=r"samples\.csv: row 2: 'x' is tooth.*targets\.csv: row 2 is gingiva"):
        compare(*files(["x,tooth,50,20,12,D65,10"], ["x,gingiva,51,20,12,D65,10"]))


def test_chosen_thresholds(files):
    paths = files(["x,,50,20,12,D65,10", "y,tooth,70,1,15,D65,10"], ["x,,51,20,12,D65,10", "y,tooth,71,1,15,D65,10"])
    pairs = compare(*paths, threshold_names=["gum-2020-strict"]).pairs
    assert [pair.thresholds for pair in pairs] == ["gum-2020-strict", "tooth-2015"]
    with pytest.raises(UnknownNameError, match="tooth-2015"):
        compare(*paths, threshold_names=["tooth-2016"])
    with pytest.raises(InputError, match="both for tooth"):
        compare(*paths, threshold_names=["tooth-2015", "tooth-2010"])


def test_spectra_meet_in_the_default_or_the_asked_light(files):
    paths = files(["x" + ",0.5" * 31], ["x" + ",0.52" * 31], head=SPECTRUM)
    for asked, seen in ((Asked(), ("D65", 10)), (Asked("F11"), ("F11", 10)), (Asked(observer=2), ("D65", 2))):
        (pair,) = compare(*paths, asked).pairs
        assert (pair.illuminant, pair.observer) == seen
        assert pair.dE00 > 0.5


def test_a_spectrum_goes_to_the_light_of_the_lab_it_meets(files):
    paths = files(["x" + ",0.5" * 31], ["x,tooth,76.0693,0,0,D50,2"], head=SPECTRUM, target_head=HEAD)
    (pair,) = compare(*paths).pairs
    assert (pair.illuminant, pair.observer) == ("D50", 2)
    assert pair.dE00 == pytest.approx(0.0, abs=1e-4)  # L* of a reflectance of one half


def test_lab_of_different_light_is_refused_unless_adapted(files):
    paths = files(["x,tooth,70,1,15,D50,2"], ["x,tooth,70,1,15,D65,10"])
    with pytest.raises(ConditionsError, match="D50/2°, expected D65/10°"):
        compare(*paths)
    result = compare(*paths, Asked(adapt=True))
    assert (result.pairs[0].illuminant, result.pairs[0].observer) == ("D65", 10)
    assert any("from D50/2° to D65/10°" in line for line in result.warnings)
    same = compare(*files(["x,tooth,70,1,15,D65,10"], ["x,tooth,70,1,15,D65,10"])).pairs[0]
    assert result.pairs[0].u > same.u


@pytest.mark.parametrize(
    ("sample", "target", "accepted"),
    [("a", "a", True), ("a", "b", False), ("a", "", False), ("", "", True)],
)
def test_unknown_light_compares_on_one_instrument_only(files, sample, target, accepted):
    paths = files([f"x,tooth,70,1,15,{sample}"], [f"x,tooth,71,1,15,{target}"], head="sample,tissue,L,a,b,instrument")
    if not accepted:
        with pytest.raises(ConditionsError, match="same instrument"):
            compare(*paths)
        return
    result = compare(*paths)
    assert (result.pairs[0].illuminant, result.pairs[0].observer, result.pairs[0].scale) == ("unknown", None, OWN_SCALE)
    assert any(OWN_SCALE in line for line in result.warnings)


def test_unknown_light_never_meets_a_known_one(files):
    paths = files(["x,tooth,70,1,15,,"], ["x,tooth,70,1,15,D65,10"])
    for asked in (Asked(), Asked(adapt=True)):
        with pytest.raises(ConditionsError, match="unknown light"):
            compare(*paths, asked)
    assert compare(*paths, Asked("D65", 10)).pairs[0].dE00 == 0.0


def test_partners_by_name_the_newest_counts(files):
    head = "sample,tissue,taken_at,L,a,b,illuminant,observer"
    samples = ["x,tooth,2026-03-02,70,1,15,D65,10", "x,tooth,2026-03-01,60,1,15,D65,10", "y,tooth,,70,1,15,D65,10"]
    result = compare(*files(samples, ["x,tooth,,70,1,15,D65,10", "z,tooth,,70,1,15,D65,10"], head=head))
    assert [(pair.sample, pair.dE00) for pair in result.pairs] == [("x", 0.0)]
    assert [line.endswith(name) for line, name in zip(result.warnings, ("'y'", "'z'"), strict=True)] == [True, True]


def test_no_partner_at_all_names_both_sides(files):
    with pytest.raises(InputError, match=r"samples\.csv.*targets\.csv.*'x'.*'z'"):
        compare(*files(["x,tooth,70,1,15,D65,10"], ["z,tooth,70,1,15,D65,10"]))


def test_claimed_doubt_holds_the_true_difference(tmp_path):
    """200 pairs read with the usual scatter: their ΔE00 is within ``u`` of the true one in at least 95 of 100."""
    rng = np.random.default_rng(7)
    nm = np.arange(400, 701, 10)
    true = 0.3 + 0.25 / (1 + np.exp(-(nm - 470) / 45))

    def file(name, curve):
        read = curve * (1 + 0.003 * rng.standard_normal((200, 1))) + 0.001 * rng.standard_normal((200, nm.size))
        rows = [",".join([f"{i}-cervical", *map("{:.6f}".format, row)]) for i, row in enumerate(read)]
        return write(tmp_path / name, SPECTRUM, *rows)

    pairs = compare(file("a.csv", true), file("b.csv", true * 1.05)).pairs
    labs = [spectrum_to_lab(curve, nm, illuminant="D65", observer=10) for curve in (true, true * 1.05)]
    expected = float(delta_e_2000_parts(*labs).dE00)
    assert np.mean([abs(pair.dE00 - expected) <= pair.u for pair in pairs]) >= 0.95
