from __future__ import annotations

import numpy as np
import pytest

from stainbook.colour import SHIPPED_ILLUMINANTS, illuminant_name, illuminants
from stainbook.colour.illuminants import _other_lights, _table, spd
from stainbook.errors import UnknownNameError
from tests.colour.library import illuminant_spd, library_illuminants
from tests.tools.make_colour_tables import other_lights, table


def test_the_shipped_tables_are_those_of_colour_science():
    names, values = table()
    shipped = _table()
    assert list(shipped) == names
    # The file keeps twelve digits.
    np.testing.assert_allclose(np.column_stack(list(shipped.values())), values, rtol=1e-11, atol=0)


def test_every_other_light_of_colour_science_is_there_too():
    names, values = other_lights()
    shipped = _other_lights()
    np.testing.assert_allclose(np.column_stack(list(shipped.values())), values, rtol=1e-11, atol=0)
    for name in library_illuminants():
        np.testing.assert_allclose(spd(illuminant_name(name)), illuminant_spd(name), rtol=1e-11, atol=0)
    assert len(illuminants()) == len(library_illuminants()) == len(names) - 1 + len(SHIPPED_ILLUMINANTS)


@pytest.mark.parametrize(
    ("given", "name"),
    [
        ("d65", "D65"),
        ("D 65", "D65"),
        ("a", "A"),
        ("FL2", "F2"),
        ("fl11", "F11"),
        ("led-b3", "LED-B3"),
        ("LED_B3", "LED-B3"),
        ("ledb1", "LED-B1"),
        ("c", "C"),
        ("FL3.15", "F3.15"),
    ],
)
def test_common_spellings(given, name):
    assert illuminant_name(given) == name


def test_every_listed_name_is_its_own_spelling():
    assert illuminants()[: len(SHIPPED_ILLUMINANTS)] == SHIPPED_ILLUMINANTS
    assert [illuminant_name(name) for name in illuminants()] == list(illuminants())
    assert len(set(illuminants())) == len(illuminants()) > 40


@pytest.mark.parametrize("name", ["", "unknown", "D66", "F"])
def test_unknown_lights_are_refused(name):
    with pytest.raises(UnknownNameError, match="unknown illuminant"):
        illuminant_name(name)
