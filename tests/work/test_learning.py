"""What was learnt, in a sentence that claims no more than is known."""

import pytest

from stainbook.match.factors import Factor
from stainbook.work.learnt_told import sentence


@pytest.mark.parametrize(
    ("factor", "told"),
    [
        (
            Factor("lot", "24-117", "husk", ln=0.1655, sd=0.026, outcomes=40),
            "lot 24-117 of husk fires 18 % stronger than the one that the chips were made with, "
            "± 6 %, from 40 outcomes",
        ),
        (
            Factor("operator", "bench-2", None, ln=-0.0834, sd=0.02, outcomes=12),
            "bench-2 lays on 8 % less than the hand that made the chips, ± 4 %, from 12 outcomes",
        ),
        (
            Factor("programme", "glaze-770", None, ln=0.002, sd=0.02, outcomes=9),
            "programme glaze-770 fires as strong as the one that the chips were fired with, ± 4 %, from 9 outcomes",
        ),
        (
            Factor("lot", "24-118", "straw", ln=0.2, sd=0.15, outcomes=1),
            "how strong lot 24-118 of straw fires, 1 outcome can't yet tell from the hand's own scatter",
        ),
    ],
)
def test_each_factor_is_a_sentence(factor, told):
    assert sentence(factor) == told
