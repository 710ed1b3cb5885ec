"""A hand that scatters far more than is usual is told, until outcomes tell it."""

import pytest

from stainbook.optics.causes import Hands
from stainbook.optics.curves import Optics, Pooled
from stainbook.work.stains.predict import wild_hand


@pytest.mark.parametrize(("scatter", "told"), [(0.12, 0), (0.17, 0), (0.24, 1)])
def test_it_is_told_of_stripes_alone(scatter: float, told: int) -> None:
    optics = Optics({}, pooled=Pooled(hand=scatter))
    assert len(wild_hand(optics, Hands())) == told
    assert wild_hand(optics, Hands(scatter=0.28)) == []
