"""Plot-ready data: contours are real ΔE00, states follow thresholds, marks follow content."""

import numpy as np
import pytest

from stainbook.colour import delta_e_2000, threshold_set, thresholds
from stainbook.words import states
from stainbook.work.case import views
from stainbook.work.documents.schemas import AdvisedZone, ColourResult, Gap, Move

TOOTH, GUM, GREY = (74.0, 2.0, 18.0), (48.0, 24.0, 12.0), (60.0, 0.1, 0.0)


@pytest.mark.parametrize("target", [TOOTH, GUM])
@pytest.mark.parametrize("dE00", [0.8, 1.8, 2.9])
def test_every_point_of_a_contour_is_that_far_from_the_target(target, dE00):
    L, a, b = target
    around = views.contour(target, dE00, plane="ab")
    labs = np.column_stack([np.full(len(around), L), around])
    np.testing.assert_allclose(delta_e_2000(labs, target), dE00, atol=1e-6)  # halvings end at 2e-10 L*a*b*
    hue = np.arctan2(b, a)
    C, up = views.contour(target, dE00, plane="LC").T
    labs = np.column_stack([up, C * np.cos(hue), C * np.sin(hue)])
    np.testing.assert_allclose(delta_e_2000(labs, target), dE00, atol=1e-6)


def test_contours_are_no_circles():
    around = views.contour(TOOTH, 1.8, plane="ab") - TOOTH[1:]
    radii = np.hypot(*around.T)
    assert radii.max() > 1.5 * radii.min()


def test_contour_is_closed_and_stops_at_no_chroma():
    around = views.contour(GREY, 1.8, plane="LC")
    np.testing.assert_array_equal(around[0], around[-1])
    assert around[:, 0].min() == 0.0


def test_half_span_holds_all_points_and_contours():
    now = np.array([80.0, -1.0, 8.0])
    span = views.half_span(TOOTH, [now], 1.8)
    for plane in views.PLANES:
        points = np.vstack([views.contour(TOOTH, 1.8, plane=plane), views.in_plane(now, plane)])
        assert np.abs(points - views.in_plane(TOOTH, plane)).max() < span


def colour(lab=TOOTH, observer=10):
    return ColourResult(L=lab[0], a=lab[1], b=lab[2], illuminant="D65", observer=observer)


def zone(dE00, grade="beyond", visibility="perceptible", verdict="stain", moves=(), tissue="tooth", **more):
    gap = None if dE00 is None else Gap(dE00=dE00, dL=0.0, dC=0.0, dH=0.0, grade=grade, visibility=visibility)
    return AdvisedZone(tooth=11, zone="middle", tissue=tissue, gap=gap, verdict=verdict, moves=list(moves), **more)


def leave(dE00):
    return Move(
        rank=1, kind="leave", layers=[], colour=colour(), dE00=dE00, dE00_p05=dE00, dE00_p95=dE00, accept=1.0,
        accept_within=1.0, firings=0.0, why="",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("given", "state"),
    [
        (zone(0.5, "within", "imperceptible"), states.NO_DIFFERENCE),
        (zone(1.5, "within"), states.IN_TOLERANCE),
        (zone(1.7, "cannot tell"), states.CANNOT_TELL),
        (zone(3.0), states.OUT_OF_TOLERANCE),
        (zone(3.0, verdict="out of reach"), states.NOT_REACHED),
        (zone(None, verdict="no firing"), states.NOT_READ),
        (zone(3.0, verdict="leave", moves=[leave(0.5)]), states.NO_DIFFERENCE),
        (zone(0.5, "within", verdict="leave", moves=[leave(1.2)]), states.IN_TOLERANCE),
        (zone(3.0, verdict="leave", moves=[leave(2.2)], tissue="gingiva"), states.IN_TOLERANCE),
    ],
)
def test_states(given, state):
    assert views.zone_state(given) == state


def test_steps_of_the_ramp_are_the_thresholds():
    limits = thresholds("tooth")
    assert [views.step_of(dE00, limits) for dE00 in (0.0, 0.8, 0.9, 1.9, 3.7, 5.5)] == [0, 0, 1, 2, 3, 4]
    assert views.limits_of(zone(1.0, thresholds="gum-2020-strict")) == threshold_set("gum-2020-strict")


def test_colours_of_other_conditions_are_not_compared():
    assert views.difference(colour(), colour(GUM)) == pytest.approx(float(delta_e_2000(TOOTH, GUM)))
    assert views.difference(colour(), colour(GUM, observer=2)) is None
    assert views.difference(None, colour()) is None
