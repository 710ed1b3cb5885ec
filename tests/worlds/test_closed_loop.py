"""A short closed loop: advice that learns another hand and other jars needs fewer firings than advice that does not."""

from tests.worlds.blind_trials import learn
from tests.worlds.closed_loop import loop_of, told_of
from tests.worlds.lab import World

FAMILIES = {"barley": "yellow", "saddle": "brown", "wagtail": "grey", "peony": "pink"}


def test_learning_pays_within_ten_pieces():
    world = World(seed=401, hand=0.12, operators=0.18, lots=0.2, stains=FAMILIES)
    optics = learn(world)
    first, firings = told_of([loop_of(world, optics, "learning").work(10)], 4)
    first_without, firings_without = told_of([loop_of(world, optics, "no learning").work(10)], 4)
    assert firings < firings_without
    assert first >= first_without
