"""Agreement of two instruments from files, conversion, and plates against pieces."""

import numpy as np
import pytest

from stainbook.apparatus import Instrument
from stainbook.book import open_book
from stainbook.colour import delta_e_2000
from stainbook.errors import InputError
from stainbook.files import read_readings
from stainbook.records import Viewing
from stainbook.work.reading.compare import compare
from stainbook.work.reading.instrument_agreement import agree, convert_readings, keep_piece_offset
from stainbook.work.reading.viewing_conditions import Asked

RNG = np.random.default_rng(3)
FIRST = np.array([70.0, 2.0, 16.0]) + np.array([6.0, 2.0, 4.0]) * RNG.standard_normal((9, 3))


def saved(path, labs, columns="", cells=""):
    rows = [f"s{i},{L},{a},{b}{cells}" for i, (L, a, b) in enumerate(labs.tolist())]
    path.write_text("\n".join([f"sample,L,a,b{columns}", *rows]), encoding="utf-8")
    return path


def test_two_own_scales_are_compared_and_converted(tmp_path):
    second = FIRST + np.array([1.2, -0.5, 0.8]) + RNG.normal(0, 0.1, FIRST.shape)
    one = saved(tmp_path / "a.csv", FIRST, ",instrument", ",hand")
    other = saved(tmp_path / "b.csv", second, ",instrument", ",bench")
    result, way = agree(one, other)
    assert (result.first, result.second, len(result.pairs), result.warnings) == ("hand", "bench", 9, [])
    assert result.offset_low.L < 1.2 < result.offset_high.L
    assert result.dE00_median == pytest.approx(float(np.median(delta_e_2000(FIRST, second))), abs=1e-12)
    assert result.conversion.dE00_left_out < 0.3 < result.dE00_median
    assert convert_readings(one, tmp_path / "c.csv", way) == 9
    found = np.array([reading.lab for reading in read_readings(tmp_path / "c.csv").all])
    assert np.median(delta_e_2000(found, second)) < 0.2


def test_few_samples_warn_and_two_are_refused(tmp_path):
    one, other = saved(tmp_path / "a.csv", FIRST[:4]), saved(tmp_path / "b.csv", FIRST[:4] + 1)
    assert "only 4 shared samples" in agree(one, other)[0].warnings[0]
    with pytest.raises(InputError, match="2 samples are in both"):
        agree(one, saved(tmp_path / "c.csv", FIRST[:2]))


def test_lights_that_differ_are_refused(tmp_path):
    one = saved(tmp_path / "a.csv", FIRST, ",illuminant,observer", ",D65,2")
    other = saved(tmp_path / "b.csv", FIRST, ",illuminant,observer", ",D50,2")
    with pytest.raises(InputError, match="D50/2°"):
        agree(one, other)


def test_a_piece_is_compared_with_a_plate_through_its_instrument_s_offset(tmp_path):
    pieces = FIRST + np.array([-2.0, -0.3, -0.6]) + RNG.normal(0, 0.2, FIRST.shape)
    light = (",illuminant,observer,instrument", ",D65,2,hand")
    flat, curved = saved(tmp_path / "plates.csv", FIRST, *light), saved(tmp_path / "pieces.csv", pieces, *light)
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}") as book:
        result, _ = agree(flat, curved)
        with pytest.raises(InputError, match="unknown instrument"):
            keep_piece_offset(book, "hand", result)
        book.add_instruments([Instrument("hand", Viewing("D65", 2))])
        keep_piece_offset(book, "hand", result)
        profiles = book.instruments()
    assert profiles["hand"].piece_offset == pytest.approx((-2.0, -0.3, -0.6), abs=0.3)
    assert all(0.05 < doubt < 0.5 for doubt in profiles["hand"].piece_doubt)
    bare = compare(curved, flat)
    taken = compare(curved, flat, Asked(instruments=profiles), pieces=True)
    assert np.median([pair.dE00 for pair in taken.pairs]) < 0.6 < np.median([pair.dE00 for pair in bare.pairs])
    assert all(now.u > before.u for now, before in zip(taken.pairs, bare.pairs, strict=True))
    with pytest.raises(InputError, match="names no instrument with a plate-to-piece offset"):
        compare(curved, flat, pieces=True)
