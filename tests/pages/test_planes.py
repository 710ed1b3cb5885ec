"""The planes: equal axes around the target, the way through the firings, and where nine of ten come out."""

import numpy as np
import pytest

from stainbook.pages.case import case_texts as words
from stainbook.pages.widgets.planes import planes
from stainbook.work.case.views import PathPoint, ZoneSeen, in_plane
from stainbook.work.documents.schemas import AdvisedZone, ColourResult


def colour(L, a, b):
    return ColourResult(L=L, a=a, b=b, illuminant="D65", observer=10)


ZONE = AdvisedZone(
    tooth=11, zone="middle", tissue="tooth", gap=None, verdict="stain", moves=[], now=colour(74, 1, 14),
    target=colour(70, 2, 18),
)  # fmt: skip
EXPECTED = colour(70.5, 2, 17)
PATH = (PathPoint(colour(80, 0, 8), True), PathPoint(colour(75, 1, 13), False), PathPoint(colour(74, 1, 14), True))


def lines(chart, mark):
    return [one for one in chart["layer"] if one["mark"]["type"] == mark]


def test_the_way_goes_through_what_was_measured_to_what_is_expected():
    for chart, plane in zip(planes(ZONE, EXPECTED, ZoneSeen(path=PATH)), ("ab", "LC"), strict=True):
        way = next(one for one in lines(chart, "line") if one["mark"].get("opacity") == 0.7)["data"]["values"]
        wanted = [(80, 0, 8), (74, 1, 14), (74, 1, 14), (70.5, 2, 17)]
        found = np.array([(row["x"], row["y"]) for row in way])
        assert found == pytest.approx(np.array([in_plane(one, plane) for one in wanted]), abs=1e-9)
        filled = {one["data"]["values"][0]["name"]: one["mark"]["filled"] for one in lines(chart, "point")}
        assert filled[words.FIRED_BEFORE] is True
        assert filled[words.EXPECTED_BEFORE] is False


def test_the_doubt_is_drawn_around_what_is_expected_where_it_is_known():
    doubt = np.diag([0.5, 0.1, 0.3]) ** 2
    with_it, without = (planes(ZONE, EXPECTED, ZoneSeen(doubt=one))[0] for one in (doubt, None))
    assert len(lines(with_it, "line")) == len(lines(without, "line")) + 1
    around = next(one for one in lines(with_it, "line") if "fill" in one["mark"])["data"]["values"]
    assert max(row["y"] for row in around) - 17 == pytest.approx(2.146 * 0.3, abs=2e-3)  # drawn to 0.001
    assert max(row["x"] for row in around) - 2 == pytest.approx(2.146 * 0.1, abs=2e-3)


def test_no_plane_without_a_target():
    assert planes(ZONE.model_copy(update={"target": None}), None) == []
