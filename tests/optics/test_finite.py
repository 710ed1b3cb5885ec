"""Ceramics of finite thickness: K and S from two readings, and pieces put on something else, beside adding-doubling."""

import csv
from dataclasses import replace
from functools import cache
from itertools import product
from pathlib import Path

import numpy as np
import pytest

from stainbook.colour import WAVELENGTHS, delta_e_2000, spectrum_to_lab
from stainbook.optics.ceramic import Ceramic
from stainbook.optics.finite import UNEXPLAINED, Laying, finite_body, inner_of, inner_over, reading_of, seated
from tests.optics import kubelka_munk as km
from tests.worlds import adding_doubling as ad
from tests.worlds.green_lab import GreenWorld

ZIRCONIA = Ceramic(2.15, 0.0, 0.0)
BARE = {"surface": "polished", "stray": 0.0, "ceramic": ZIRCONIA}
DARK, GREY, PALE = 0.04, 0.5, 0.85
TITANIUM = 0.3
WORLD = GreenWorld(1)


def lab(reading):
    return spectrum_to_lab(reading, WAVELENGTHS, illuminant="D65", observer=10)


@cache
def truth(thickness, backing):
    """A bare blank by adding-doubling, without what its rough face throws past the trap."""
    blank = replace(WORLD.blank("fleece"), thickness=thickness, backing=backing)
    piece = WORLD.world.piece(blank)
    return np.asarray(ad.sphere_reading(WORLD.world._bare_surface, piece.reflection, surface_seen=0.0).mean(axis=0))


def laying(thickness, backing):
    return Laying(thickness, np.full(31, backing))


def body_of(*ways):
    return finite_body(
        [inner_of(truth(*way), **BARE) for way in ways], [laying(*way) for way in ways], ceramic=ZIRCONIA
    )


@pytest.mark.parametrize("ways", [((1.0, DARK), (1.0, PALE)), ((0.6, GREY), (1.6, GREY))])
def test_two_readings_tell_every_thickness_and_backing(ways):
    found = body_of(*ways)
    assert found.unexplained < 1e-4
    off = [
        delta_e_2000(
            lab(reading_of(inner_over(found.ln_K, found.ln_S, d, np.full(31, behind), ceramic=ZIRCONIA), **BARE)),
            lab(truth(d, behind)),
        )
        for d, behind in product((0.5, 0.7, 1.0, 1.4, 2.0), (DARK, 0.2, GREY, PALE))
    ]
    assert np.median(off) < 0.3
    assert max(off) < 0.8


@pytest.mark.parametrize("thickness", [0.7, 1.0, 1.8])
def test_a_piece_is_told_as_seated_within_its_doubt(thickness):
    found, read = body_of((1.0, DARK), (1.0, PALE)), truth(thickness, GREY)
    inner, rows = seated(
        inner_of(read, **BARE), found, laying(thickness, GREY), laying(thickness, TITANIUM), ceramic=ZIRCONIA
    )
    told, true = lab(reading_of(inner, **BARE)), lab(truth(thickness, TITANIUM))
    assert delta_e_2000(told, true) < 0.3
    thinner, _ = seated(
        inner_of(truth(thickness - 0.1, GREY), **BARE), found, laying(thickness, GREY), laying(thickness, TITANIUM),
        ceramic=ZIRCONIA,
    )  # fmt: skip
    missed = np.log(thinner / inner_of(truth(thickness - 0.1, TITANIUM), **BARE))
    assert np.abs(missed).max() < 3.0 * np.sqrt((rows**2).sum(axis=0)).max()


def test_the_colour_of_a_cement_is_doubted_where_it_shows():
    body = body_of((1.0, DARK), (1.0, PALE))
    tints = []
    for thickness in (0.7, 1.8):
        inner = inner_of(truth(thickness, GREY), **BARE)
        _, rows = seated(inner, body, laying(thickness, GREY), laying(thickness, TITANIUM), ceramic=ZIRCONIA)
        assert rows[1][0] * rows[1][-1] > 0.0  # lighter in all bands
        assert rows[2][0] < 0.0 < rows[2][-1]  # yellower
        tints.append(rows[2][-1] - rows[2][0])
    assert tints[0] > 3.0 * tints[1]  # of a thick piece next to nothing


def test_what_stays_as_it_was_reads_as_it_did():
    read, way = truth(1.0, GREY), laying(1.0, GREY)
    inner, rows = seated(inner_of(read, **BARE), body_of((1.0, DARK), (1.0, PALE)), way, way, ceramic=ZIRCONIA)
    np.testing.assert_allclose(reading_of(inner, **BARE), read, rtol=0, atol=1e-9)
    np.testing.assert_allclose(rows[0], 0.0, atol=1e-6)  # whatever its thickness


@pytest.mark.parametrize("surface", ["matt", "polished", "glazed", "film"])
def test_a_reading_is_taken_apart_and_put_together(surface):
    read = np.linspace(0.15, 0.75, 31)
    own = {"surface": surface, "stray": 0.02 if surface == "matt" else 0.0, "ceramic": Ceramic(2.15, 0.02, 0.01)}
    np.testing.assert_allclose(reading_of(inner_of(read, **own), **own), read, rtol=0, atol=1e-6)


def test_readings_that_no_scattering_explains_are_seen():
    dark, pale = (inner_of(truth(1.0, behind), **BARE) for behind in (DARK, PALE))
    swapped = finite_body([pale, dark], [laying(1.0, DARK), laying(1.0, PALE)], ceramic=ZIRCONIA)
    assert swapped.unexplained > UNEXPLAINED
    opaque = finite_body([pale, pale], [laying(1.0, DARK), laying(1.0, PALE)], ceramic=ZIRCONIA)
    assert opaque.unexplained < UNEXPLAINED


def published():
    with (Path(__file__).parents[1] / "published" / "two_backings.csv").open(encoding="utf-8", newline="") as stream:
        return [{key: float(value) for key, value in row.items()} for row in csv.DictReader(stream)]


@pytest.mark.parametrize("row", published())
def test_two_published_backings_tell_the_thickness_between(row):
    """Kubelka and Munk's layer, taken apart by four streams: at half and twice its thickness within 0.025."""
    inner = [np.full(31, row[key]) for key in ("R_dark", "R_pale")]
    ways = [laying(row["X"], row[key]) for key in ("Rg_dark", "Rg_pale")]
    found = finite_body(inner, ways, ceramic=ZIRCONIA)
    for thickness, behind in product((0.5 * row["X"], row["X"], 2.0 * row["X"]), (row["Rg_dark"], 0.4, row["Rg_pale"])):
        told = inner_over(found.ln_K, found.ln_S, thickness, np.full(31, behind), ceramic=ZIRCONIA)
        expected = km.reflectance(row["K"], row["S"], thickness, behind)
        assert told == pytest.approx(np.full(31, expected), abs=0.025)
