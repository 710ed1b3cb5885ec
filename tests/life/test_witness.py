"""Discs of a sintering tell how blank, bottle and run turned out, before anything is read of the piece."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from stainbook.optics.forecast import Hands, forecast
from stainbook.records import Layer, Layers, Pot, Viewing
from stainbook.work.case.expected_colour import ExpectedZone, ReadNeighbour
from stainbook.work.case.witness import shifted
from tests.life.bench import Bench, Doc, fired_zone, zone
from tests.life.worlds import bare, reading, seen
from tests.match.lab import optics_of, start_of

NECK, MIDDLE = (11, "cervical"), (11, "middle")
LAYERS: list[Doc] = [{"pot": {"otter": 0.5}, "coats": 2}]
DARKER = 0.97  # of every band: what this run makes of the blank


def standings(bench: Bench, *, witness: list[str] | None = None) -> dict[tuple[int, str], Doc]:
    """Where the zones of a crown stand that was coloured on its neck and sintered, nothing read of it."""
    zones = [zone(*key, target=(70, 3, 20)) | {"now": {"body": "reed"}} for key in (NECK, MIDDLE)]
    bench.open("W-1", zones, stage="green")
    bench.json("case", "did", "W-1", "coloured", "--zones", "11 cervical", "--at", bench.at("09:00"))
    bench.json("case", "did", "W-1", "dried", "--at", bench.at("10:00"))
    head: Doc = {"firing": "sinter", "programme": "long", **({"witness": witness} if witness else {})}
    bench.record("W-1", [fired_zone(NECK, LAYERS)], hour="12:00", **head)
    return {key: told["standing"] for key, told in bench.advice("W-1").items()}


def read(bench: Bench, sample: str, piece: object, share: float) -> None:
    """A disc, read a share of what it would usually be."""
    found = reading(sample, piece, bench.at("12:30"), stage="sintered")  # type: ignore[arg-type]
    bench.read(replace(found, reflectance=tuple((share * np.array(found.reflectance)).round(5).tolist())))


def test_a_disc_that_nobody_named_moves_nothing(bench: Bench) -> None:
    read(bench, "reed-disc", bare("reed"), DARKER)
    usual = standings(bench)
    blank = seen(bare("reed"))
    assert usual[MIDDLE]["L"] == pytest.approx(blank[0], abs=0.3)  # nobody said that the disc was of this run


def test_told_with_the_sintering_it_is_known_before_the_piece_is_touched(bench: Bench) -> None:
    read(bench, "reed-disc", bare("reed"), DARKER)
    told = standings(bench, witness=["reed-disc", "never-read"])
    assert told[MIDDLE]["from"] == "expected"
    assert -1.3 < told[MIDDLE]["L"] - seen(bare("reed"))[0] < -0.5
    assert told[MIDDLE]["u"] < 1.5


# ---------------------------------------------------------------- discs that were soaked


def expected(key: str, layers: Layers) -> ExpectedZone:
    """A zone or disc of a blank with a liquid in it."""
    optics = optics_of(("teasel", "slate"), kind="infiltrating")
    piece = start_of(surface="matt").piece
    (found,) = forecast(optics, piece, [layers], key=key, glazed=False, hands=Hands("chips", (0.0, 0.18)))
    return ExpectedZone(None, found, "matt")  # type: ignore[arg-type]


def test_a_soaked_disc_shows_the_bottle_and_a_wrong_one_nothing() -> None:
    weak, strong = ((Layer(Pot.of({"teasel": share}), 1),) for share in (0.5, 0.8))
    zone_, disc = expected("11 middle", weak), expected("disc", weak)
    by_hand = expected("disc", strong).forecast.ln_mean  # as if the bottle were stronger than it should be
    noise = 1e-5 * np.eye(31)
    (found,) = shifted({MIDDLE: zone_}, [ReadNeighbour(disc.forecast, by_hand, noise)], Viewing()).values()
    way = expected("", strong).forecast.ln_mean - zone_.forecast.ln_mean
    went = found.forecast.ln_mean - zone_.forecast.ln_mean
    assert 0.3 < (went @ way) / (way @ way) < 1.0
    assert np.trace(found.forecast.covariance()) < np.trace(zone_.forecast.covariance())
    (same,) = shifted({MIDDLE: zone_}, [ReadNeighbour(disc.forecast, by_hand - 1.0, noise)], Viewing()).values()
    assert same is zone_
