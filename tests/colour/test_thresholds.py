from __future__ import annotations

import math

import pytest

from stainbook.colour import (
    grade,
    grade_interval,
    own_set,
    review_grade,
    threshold_set,
    threshold_sets,
    thresholds,
    visibility,
    visibility_interval,
)
from stainbook.errors import UnknownNameError

TOOTH = thresholds("tooth")
ABOVE = math.nextafter


@pytest.mark.parametrize(
    ("name", "tissue", "perceptible", "acceptable"),
    [
        ("tooth-2015", "tooth", 0.8, 1.8),
        ("tooth-iso-2016", "tooth", 0.8, 1.8),
        ("tooth-2010", "tooth", 1.30, 2.25),
        ("gum-2020", "gingiva", 2.1, 2.9),
        ("gum-2020-strict", "gingiva", 1.5, 2.0),
        ("gum-2020-lenient", "gingiva", 1.8, 2.5),
        ("denture-base-2015", "gingiva", 1.71, 4.00),
    ],
)
def test_published_thresholds(name, tissue, perceptible, acceptable):
    """Sources stand in each set."""
    found = threshold_set(name)
    assert (found.tissue, found.perceptible, found.acceptable) == (tissue, perceptible, acceptable)
    assert (found.kL, found.kC, found.kH) == (1.0, 1.0, 1.0)
    assert found.source
    assert found.illuminant
    assert found.observer


def test_defaults():
    assert thresholds("tooth").name == "tooth-2015"
    assert thresholds("gingiva").name == "gum-2020"
    assert threshold_sets("tooth")[0] is thresholds("tooth")
    assert threshold_sets("gingiva")[0] is thresholds("gingiva")
    assert set(threshold_sets()) == {*threshold_sets("tooth"), *threshold_sets("gingiva")}


def test_every_group_value_of_gum_lies_under_the_pooled_one():
    pooled = threshold_set("gum-2020")
    for name in ("gum-2020-strict", "gum-2020-lenient"):
        assert threshold_set(name).perceptible < pooled.perceptible
        assert threshold_set(name).acceptable < pooled.acceptable


@pytest.mark.parametrize(("dE", "word"), [(0.0, "within"), (1.8, "within"), (ABOVE(1.8, 9), "beyond")])
def test_acceptability_is_closed_above(dE, word):
    assert grade(dE, TOOTH) == word


@pytest.mark.parametrize(
    ("low", "high", "word"),
    [
        (0.2, 1.8, "within"),
        (0.2, ABOVE(1.8, 9), "cannot tell"),
        (1.8, 3.0, "cannot tell"),
        (ABOVE(1.8, 9), 3.0, "beyond"),
        (float("nan"), float("nan"), "cannot tell"),
    ],
)
def test_intervals_say_what_they_can(low, high, word):
    assert grade_interval(low, high, TOOTH) == word


@pytest.mark.parametrize(("dE", "word"), [(0.8, "imperceptible"), (ABOVE(0.8, 9), "perceptible")])
def test_visibility_is_closed_above(dE, word):
    assert visibility(dE, TOOTH) == word


def test_visibility_of_an_interval():
    assert visibility_interval(0.5, 1.0, TOOTH) == "cannot tell"
    assert visibility_interval(0.9, 1.0, TOOTH) == "perceptible"


@pytest.mark.parametrize(
    ("dE", "step"),
    [(0.0, 5), (0.8, 5), (ABOVE(0.8, 9), 4), (1.8, 4), (ABOVE(1.8, 9), 3), (3.6, 3), (ABOVE(3.6, 9), 2), (5.41, 1)],
)
def test_five_steps_of_review_papers(dE, step):
    """0.8 / 1.8 / 3.6 / 5.4 for teeth, upper ends closed: scheme from memory."""
    assert review_grade(dE, TOOTH) == step


def test_no_step_for_no_number():
    assert review_grade(float("nan"), TOOTH) is None


@pytest.mark.parametrize(("call", "name"), [(threshold_set, "tooth-2016"), (thresholds, "gum")])
def test_unknown_names_list_the_known(call, name):
    with pytest.raises(UnknownNameError, match="known"):
        call(name)


@pytest.mark.parametrize(("perceptible", "acceptable"), [(0.01, 20.0), (0.8, 2.0), (1.5, 1.5)])
def test_a_set_of_own_figures_is_found_again_by_its_name(perceptible, acceptable):
    own = own_set("tooth", perceptible, acceptable)
    found = threshold_set(own.name)
    assert (found.perceptible, found.acceptable, found) == (perceptible, acceptable, own)


@pytest.mark.parametrize(("perceptible", "acceptable"), [(0.0099, 2.0), (2.0, 1.99), (1.0, 20.01)])
def test_own_figures_beyond_what_can_be_are_refused(perceptible, acceptable):
    with pytest.raises(ValueError, match=r"expected 0\.01 <= perceptible <= acceptable <= 20"):
        own_set("tooth", perceptible, acceptable)
    with pytest.raises(UnknownNameError):
        threshold_set(f"own-tooth-{perceptible:g}-{acceptable:g}")
