import pytest

from stainbook.cli.reading_commands import Thresholds
from stainbook.cli.show import tenths, viewing
from stainbook.colour import threshold_sets, thresholds


@pytest.mark.parametrize(
    ("value", "shown"), [(0.04, "0.0"), (-0.04, "0.0"), (-0.06, "−0.1"), (1.25, "1.2"), (73.96, "74.0"), (0.0, "0.0")]
)
def test_one_decimal_and_no_minus_zero(value, shown):
    assert tenths(value) == shown


def test_light_and_observer():
    assert viewing("D65", 10) == "CIE D65/10°"
    assert viewing("unknown", None) == "own scale"


def test_help_lists_the_threshold_sets():
    text = Thresholds.__metadata__[0].help
    assert all(one.name in text for one in threshold_sets())
    assert f"By default {thresholds('tooth').name} and {thresholds('gingiva').name}" in text
