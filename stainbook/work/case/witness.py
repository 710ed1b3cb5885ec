"""Discs that went through the sintering of a piece: what was read of them tells of it before the piece is touched.

A disc of the blank shows how blank and run turned out; one that was soaked as chips.csv says, the bottle too. Zones of
the piece and discs share these causes by name, so that what is seen of the ones moves what is expected of the others.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from stainbook.colour import WAVELENGTHS, delta_e_2000, lab_jacobian, spectrum_to_lab
from stainbook.errors import InputError, message
from stainbook.kept import Firing
from stainbook.language import say
from stainbook.optics.causes import change_rows, root
from stainbook.optics.forecast import Forecast
from stainbook.optics.two_by_two import Array
from stainbook.records import Case, Chip, Viewing
from stainbook.words.figures import tenths
from stainbook.work.case.expected_colour import ExpectedZone, Key, ReadNeighbour
from stainbook.work.case.library import Library
from stainbook.work.reading.optical import optical
from stainbook.work.reading.viewing_conditions import SPECTRA_SEEN_UNDER
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
    """The discs that tell of a piece, with what was expected of them; see `looked_at`."""
    return [one for one in looked_at(sintering, blank, case, library).values() if isinstance(one, ReadNeighbour)]


def looked_at(sintering: Sintering, blank: str, case: Case, library: Library) -> dict[str, ReadNeighbour | str]:
    """Each disc with what was expected of it, or why it tells nothing of the piece.

    That is one that was not read or under unknown light, one of another bottle, and one that nothing explains.
    """
    chips = {chip.chip: chip for chip in library.book.chips()}
    found: dict[str, ReadNeighbour | str] = {}
    for name in sintering.discs:
        chip = chips.get(name)
        try:
            found[name] = _other_bottle(chip, case) or _witness(name, chip, sintering.firing, blank, case, library)
        except InputError as error:
            found[name] = message(error)
            continue
        one = found[name]
        if isinstance(one, ReadNeighbour) and _is_outlier(*_off(one, SPECTRA_SEEN_UNDER)):
            apart = tenths(_apart(one))
            found[name] = say(
                "it was read {apart} ΔE00 from what blank, bottle and run explain: was it this disc?", apart=apart
            )
    return found


def _other_bottle(chip: Chip | None, case: Case) -> str | None:
    """Why a disc says nothing of a piece that was coloured from other bottles; None where it may be the same."""
    if chip is None:
        return None
    own = dict(case.lots)
    for stain, lot in (pair for layer in chip.layers for pair in layer.lots):
        if own.get(stain, lot) != lot:
            return say(
                "it was coloured from {stain}: {lot}, the piece from {other}", stain=stain, lot=lot, other=own[stain]
            )
    return None


def _off(one: ReadNeighbour, viewing: Viewing) -> tuple[Array, Array]:
    """(3,) by which a disc was read off in L*, a*, b*, and the doubt (3, 3) of that."""
    by = _to_lab(one.forecast, viewing)
    doubt = by @ (one.forecast.covariance() + one.covariance) @ by.T + 1e-6 * np.eye(3)
    return by @ (one.ln_after - one.forecast.ln_mean), doubt


def _is_outlier(off: Array, doubt: Array) -> bool:
    return bool(off @ np.linalg.solve(doubt, off) > OUTLIER)


def _apart(one: ReadNeighbour) -> float:
    seen = (np.minimum(np.exp(ln), 1.0) for ln in (one.ln_after, one.forecast.ln_mean))
    illuminant, observer = SPECTRA_SEEN_UNDER.illuminant, SPECTRA_SEEN_UNDER.observer
    lab = [spectrum_to_lab(R, WAVELENGTHS, illuminant=illuminant, observer=observer) for R in seen]
    return float(delta_e_2000(*lab))


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
    off, doubt = zip(*(_off(one, viewing) for one in discs), strict=True) if discs else ((), ())
    used = [i for i, one in enumerate(off) if not _is_outlier(one, doubt[i])]
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
