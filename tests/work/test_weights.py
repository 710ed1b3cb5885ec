"""Mixes on the scale: multiples of its step, shares kept, and told when they cannot be."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stainbook.errors import InputError
from stainbook.work.stains.mix_weights import GOOD, least_batch, weigh

SHARES = st.sampled_from([1 / 16, 1 / 8, 1 / 4, 1 / 2])


@given(SHARES, SHARES, st.floats(0.05, 20.0), st.sampled_from([0.001, 0.01, 0.05, 0.1]))
def test_every_portion_is_a_multiple_of_the_step_and_the_batch_is_no_smaller_than_asked(one, other, grams, step):
    found = weigh({"teasel": one, "husk": other}, grams, step)
    for portion in found.grams.values():
        assert portion / step == pytest.approx(round(portion / step), abs=1e-6)
        assert portion >= step * (1 - 1e-9)
    assert sum(found.grams.values()) >= grams - 2 * step  # each of the others may be rounded down by half a step


@given(SHARES, st.floats(0.05, 20.0), st.sampled_from([0.01, 0.1]))
def test_shares_that_are_whole_parts_are_kept_exactly(share, grams, step):
    found = weigh({"teasel": share}, grams, step)
    assert found.grams["teasel"] / sum(found.grams.values()) == pytest.approx(share, abs=1e-9)


@given(SHARES, SHARES, st.sampled_from([0.001, 0.01, 0.1]))
def test_a_batch_that_is_large_enough_is_weighed_well_enough(one, other, step):
    shares = {"teasel": one, "husk": other}
    assert weigh(shares, 2.5 * least_batch(shares, step), step).off <= GOOD


def test_one_part_in_eight_of_two_grams():
    found = weigh({"teasel": 0.125}, 2.0, 0.01)
    assert found.grams == {"teasel": 0.25, "clear": 1.75}
    assert found.off == pytest.approx(0.5 * 0.01 / 0.25)


def test_undiluted_stain_is_weighed_alone():
    assert weigh({"teasel": 1.0}, 1.0, 0.01).grams == {"teasel": 1.0}


@pytest.mark.parametrize(("grams", "step"), [(0.0, 0.01), (1.0, 0.0), (-1.0, 0.01)])
def test_weights_above_zero(grams, step):
    with pytest.raises(InputError, match="above 0"):
        weigh({"teasel": 0.5}, grams, step)
