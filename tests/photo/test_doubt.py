"""The stated radius: wider where signs are bad, wide enough on scenes it was not made from, and not much wider."""

import itertools

import numpy as np
import pytest

from stainbook.photo.doubt import KINDS, Condition, zone_radius
from stainbook.photo.examine import ZoneSigns
from stainbook.photo.photo_change import change, change_radius
from tests.worlds.photo_accuracy import Way, judged, judged_pair
from tests.worlds.photo_scenes import EVERY_DAY, pair, render

GOOD = Condition("linear", even=True, tab=True)
WAYS = (Way(), Way(flat=True), Way(flat=True, tab=True, polarised=True), Way("srgb"), Way("srgb", tab=True))
SCENES = 16
# median / P95 ΔE00 that zones must be met with, D65/10°: the table; simulated scenes
LIMITS = {
    "raw chart": dict(zip(KINDS, ((1.2, 2.5), (1.5, 2.6), (1.2, 2.5), (1.2, 2.5)), strict=False)),
    "JPEG chart": dict(zip(KINDS, ((1.5, 2.9), (2.0, 4.1), (1.6, 3.3), (1.4, 2.8)), strict=False)),
}


@pytest.mark.parametrize("kind", [*KINDS, "something else"])
@pytest.mark.parametrize("encoding", ["linear", "srgb"])
def test_less_known_is_never_surer(kind, encoding):
    for even, tab in itertools.product((False, True), repeat=2):
        here = zone_radius(kind, Condition(encoding, even, tab))
        assert here <= zone_radius(kind, Condition("srgb", even, tab))
        assert here >= zone_radius(kind, Condition(encoding, True, tab))
        assert here <= zone_radius("unknown gum" if "gum" in kind else "unknown", Condition(encoding, even, tab))
        assert here < zone_radius(kind, Condition(encoding, even, tab, grey_only=True))


@pytest.mark.parametrize(
    "sign", [{"closure": 4.0}, {"left_out": 2.5}, {"masked": 0.55}, {"flagged": True}, {"uneven": 0.03}]
)
def test_bad_signs_widen(sign):
    assert zone_radius("fired tooth", GOOD, **sign) > 1.2 * zone_radius("fired tooth", GOOD)


@pytest.mark.parametrize("sign", [{"closure": 1.0}, {"left_out": 1.5}, {"masked": 0.1}, {"uneven": 0.019}])
def test_usual_signs_change_nothing(sign):
    assert zone_radius("fired tooth", GOOD, **sign) == zone_radius("fired tooth", GOOD)


def test_a_piece_that_lies_deeper_is_part_of_the_doubt_but_beside_a_tab():
    """A grey frame says nothing of it, but shots with one are set up with care; a tab tells."""
    deeper = ZoneSigns(apart=1.2)
    wider = [
        zone_radius("fired gum", shot, signs=deeper) - zone_radius("fired gum", shot)
        for shot in (Condition("linear", even, tab) for even, tab in ((False, False), (True, False), (False, True)))
    ]
    assert wider[0] > 0.25
    assert max(wider[1:]) < 0.1


def test_a_change_is_surer_than_two_colours_apart():
    for kind in KINDS[:4]:
        for encoding, even in itertools.product(("linear", "srgb"), (False, True)):
            shot = Condition(encoding, even, tab=False)
            apart = np.hypot(zone_radius(kind, shot), zone_radius(kind, shot))
            assert change_radius(kind, shot, shot) < apart


@pytest.mark.parametrize("kind", [*KINDS[:4], "something else"])
def test_a_change_in_one_setting_is_surer_than_any_colour(kind):
    for encoding, even, tab in itertools.product(("linear", "srgb"), (False, True), (False, True)):
        shot = Condition(encoding, even, tab)
        assert change_radius(kind, shot, shot, alike=True) < change_radius(kind, shot, shot)
        assert change_radius(kind, shot, shot, alike=True) < zone_radius(kind, shot)


def test_a_broad_highlight_in_either_picture_makes_a_change_less_sure():
    """It moved changes of teeth by 4 ΔE00 inside a radius of 2.7."""
    usual = change_radius("fired tooth", GOOD, GOOD, uneven=(0.015, 0.018))
    assert usual == change_radius("fired tooth", GOOD, GOOD)
    assert min(change_radius("fired tooth", GOOD, GOOD, uneven=one) for one in ((0.03, 0.01), (0.01, 0.03))) > 4.0


def test_a_change_is_after_minus_before():
    found = change([[70.0, 2, 15], [60, 20, 10]], [[70.0, 2, 15], [58, 20, 10]])
    np.testing.assert_allclose(found.dE00[0], 0.0)
    assert found.dL[1] < 0
    np.testing.assert_allclose(found.lab[1], [-2, 0, 0])


@pytest.fixture(scope="module")
def found():
    """All zones of a few scenes of the testing family, by way of shooting; every other one as on a usual day."""
    zones = {way.name: [] for way in WAYS}
    for seed in range(600, 600 + SCENES):
        faults = EVERY_DAY if seed % 2 else None
        scenes = {on: render(seed, "test", faults=faults, polarised=on) for on in (False, True)}
        for way in WAYS:
            zones[way.name] += judged(scenes[way.polarised], way)
    return zones


@pytest.mark.parametrize("way", [way.name for way in WAYS])
def test_nine_in_ten_zones_lie_within_their_radius(found, way):
    unflagged = [zone for zone in found[way] if not zone.flagged]
    assert np.mean([zone.error <= zone.radius for zone in unflagged]) >= 0.90
    # no wider than needed; but for living gum, which a third family is worse in than this one
    known = [zone for zone in unflagged if zone.kind != "living gum"]
    assert np.median([zone.radius for zone in known]) < 1.6 * np.quantile([zone.error for zone in known], 0.95)


@pytest.mark.parametrize("way", LIMITS)
def test_accuracy_on_scenes_apart_from_those_for_tuning(found, way):
    """A small draw of what photo_accuracy prints for many: 32 zones a kind, so P95 with a fifth of slack."""
    for kind, (median, high) in LIMITS[way].items():
        errors = [zone.error for zone in found[way] if zone.kind == kind and not zone.flagged]
        assert np.median(errors) < median, kind
        assert np.quantile(errors, 0.95) < 1.2 * high, kind


def test_zones_under_glare_are_flagged_and_few_others(found):
    zones = found["raw chart"]
    assert all(zone.flagged for zone in zones if zone.glare > 0.75)
    assert sum(zone.flagged for zone in zones if zone.glare < 0.4) == 0


@pytest.mark.parametrize(("way", "alike"), [(Way(flat=True), False), (Way(), True), (Way("srgb"), True)])
def test_changes_lie_within_their_radius(way, alike):
    """Piece put down anew; and lamps, camera and target left as they stood, which the pictures themselves tell."""
    zones = [zone for seed in range(700, 706) for zone in judged_pair(pair(seed, "test", alike=alike), way)]
    unflagged = [zone for zone in zones if not zone.flagged]
    assert np.mean([zone.error <= zone.radius for zone in unflagged]) >= 0.90
    put_anew = [change_radius(zone.kind, way.condition, way.condition) for zone in unflagged]
    told_alike = np.mean([zone.radius < usual for zone, usual in zip(unflagged, put_anew, strict=True)])
    assert told_alike > 0.9 if alike else told_alike < 0.5  # a broad highlight widens some
