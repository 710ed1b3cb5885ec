"""Discs that went through the sintering of a piece: what was read of them tells of it before the piece is touched.

A disc of the blank shows how blank and run turned out; one that was soaked as chips.csv says, the bottle too. Zones of
the piece and discs share these causes by name, so that what is seen of the ones moves what is expected of the others.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from stainbook.colour import WAVELENGTHS, lab_jacobian
from stainbook.errors import InputError
from stainbook.kept import Firing
from stainbook.language import say
from stainbook.optics.causes import change_rows, root
from stainbook.optics.forecast import Forecast
from stainbook.optics.two_by_two import Array
from stainbook.records import Case, Chip, Viewing
from stainbook.work.case.expected_colour import ExpectedZone, Key, ReadNeighbour
from stainbook.work.case.library import Library
from stainbook.work.reading.optical import optical
from stainbook.work.stains.predict import forecasts_on

RUN_SD = 0.01  # of ln reflectance, level and tilt: what one sintering makes of one blank; common practice
OUTLIER = 20.0  # squared distance over doubt beyond which a disc says nothing of the piece; as in learning


@dataclass(frozen=True, slots=True)
class Sintering:
    """The sintering of a piece: its own record, and the discs of its run, whoever told them."""

    firing: Firing
    discs: tuple[str, ...]


def sintering_of(case: Case, library: Library) -> Sintering | None:
    """The sintering of a case, where discs were read of it."""
    own = [one for one in library.book.firings_of(case.case) if one.kind == "sinter"]
    if not own:
        return None
    last = own[-1]
    together = [one for one in library.book.firings() if one.run == last.run] if last.run else [last]
    discs = dict.fromkeys(name for one in [last, *together] for name in one.witness or ())
    return Sintering(last, tuple(discs)) if discs else None


def witnesses(sintering: Sintering, blank: str, case: Case, library: Library) -> list[ReadNeighbour]:
    """The discs with what was expected of them; one that was not read, or of unknown light, tells nothing."""
    chips = {chip.chip: chip for chip in library.book.chips()}
    found = []
    for name in sintering.discs:
        try:
            found.append(_witness(name, chips.get(name), sintering.firing, blank, case, library))
        except InputError:
            continue
    return found


def _witness(name: str, chip: Chip | None, firing: Firing, blank: str, case: Case, library: Library) -> ReadNeighbour:
    lab, of = library.optics, chip.body if chip else blank
    start, came = (
        library.pieces.laid_on(optical(library.named(one, say("disc"), case), body=library.body(of)), case.material)
        for one in (of, name)
    )
    layers = chip.layers if chip else ()
    hands = lab.hands(firing.operator or case.operator, dict(case.lots), firing.programme)
    (found,) = forecasts_on(start, [layers], lab, hands, finish="none", material=case.material, key=f"disc {name}")
    return ReadNeighbour(_of_run(found), np.log(came.reflectance), came.ln_covariance)


def _of_run(found: Forecast) -> Forecast:
    """With what the run and the blank may do, which all of one sintering share."""
    return replace(found, sources={**found.sources, "run": change_rows(np.ones_like(found.ln_mean), RUN_SD)})


def shifted(
    zones: Mapping[Key, ExpectedZone], discs: Sequence[ReadNeighbour], viewing: Viewing
) -> dict[Key, ExpectedZone]:
    """Zones of a sintering once its discs were read: Gaussian conditioning upon the causes that they share."""
    onto = [_to_lab(one.forecast, viewing) for one in discs]
    off = [by @ (one.ln_after - one.forecast.ln_mean) for one, by in zip(discs, onto, strict=True)]
    doubt = [
        by @ (one.forecast.covariance() + one.covariance) @ by.T + 1e-6 * np.eye(3)
        for one, by in zip(discs, onto, strict=True)
    ]
    used = [i for i, one in enumerate(off) if one @ np.linalg.solve(doubt[i], one) <= OUTLIER]
    if not used:
        return dict(zones)
    rows = [{name: own @ onto[i].T for name, own in discs[i].forecast.sources.items()} for i in used]
    within = np.block([[_shared(one, other) for other in rows] for one in rows])
    for place, i in enumerate(used):
        within[3 * place : 3 * place + 3, 3 * place : 3 * place + 3] = doubt[i]
    seen = np.concatenate([off[i] for i in used])
    return {key: _moved(one, rows, within, seen) for key, one in zones.items()}


def _moved(zone: ExpectedZone, rows: Sequence[Mapping[str, Array]], within: Array, seen: Array) -> ExpectedZone:
    found = _of_run(zone.forecast)
    with_discs = np.concatenate([_shared(found.sources, one) for one in rows], axis=1)  # (31, 3 a disc)
    gain = np.linalg.solve(within, with_discs.T).T
    left = root(found.covariance() - gain @ with_discs.T)
    mean = found.ln_mean + gain @ seen
    return replace(zone, forecast=replace(found, ln_mean=mean, sources={"sintering": left}))


def _shared(one: Mapping[str, Array], other: Mapping[str, Array]) -> Array:
    """Covariance of two forecasts by the causes that both name."""
    names = [name for name in one if name in other and len(one[name]) == len(other[name])]
    size = (next(iter(one.values())).shape[1], next(iter(other.values())).shape[1])
    return np.asarray(sum((one[name].T @ other[name] for name in names), np.zeros(size)))


def _to_lab(found: Forecast, viewing: Viewing) -> Array:
    R = np.minimum(np.exp(found.ln_mean), 1.0)
    return np.asarray(lab_jacobian(R, WAVELENGTHS, illuminant=viewing.illuminant, observer=viewing.observer) * R)
