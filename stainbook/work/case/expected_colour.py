"""What a zone that was not read since its last firing is expected to be: a forecast from when it was last read.

The layers fired since are forecast on that reading (or on the blank), those that lay there already have aged, and what
zones of the same firing read shows how that firing turned out: a neighbour that came out darker moves the others too.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from stainbook.book.case_state import FiredLayers, ZoneState
from stainbook.book.fold import GLAZING
from stainbook.colour import WAVELENGTHS, delta_e_2000_radius, lab_jacobian
from stainbook.errors import InputError
from stainbook.optics.ceramic import has_bare_face
from stainbook.optics.forecast import Forecast
from stainbook.records import TOOTH_ZONES, Case, Layers, Reading, Viewing
from stainbook.work.reading.optical import OpticalReading, lab_on_grid
from stainbook.work.reading.reading_conditions import EXPECTED
from stainbook.work.stains.predict import LabOptics, forecasts_on

Floats = NDArray[np.float64]
Key = tuple[int, str]

HEAT_SD = 0.01  # of ln reflectance, all bands, a firing: a zone that went through it unpainted; common practice
AGED_SD = 0.01  # the same more, a firing, where what lies there cannot be forecast; common practice
BLED = 0.05  # share of what gum liquid does to ln reflectance that a neck beside it may take; an assumption of our own
_SHARED_BY_A_FIRING = "firing"  # the source of doubt that the zones of one firing share
MOST_KEPT = 500  # forecasts of zones, some 20 kB each
_DARKEST = 1e-3
_OUTLIER = 20.0  # squared distance over doubt beyond which a reading says nothing of its neighbours; as in learning


@dataclass(frozen=True, slots=True, eq=False)
class ExpectedZone:
    """A zone's forecast: ln reflectance (31,) with its doubt by sources, from the reading that it starts from."""

    start: OpticalReading
    forecast: Forecast
    surface: str

    def moved(self, share: float) -> ExpectedZone:
        """The same where the firing turned out ``share`` standard deviations stronger, its doubt then known."""
        rows = self.forecast.sources.get(_SHARED_BY_A_FIRING)
        if rows is None:
            return self
        mean = self.forecast.ln_mean + share * rows[0]
        return replace(self, forecast=replace(self.forecast, ln_mean=mean))

    def surer(self, left: float) -> ExpectedZone:
        """The same with ``left`` of the firing's standard deviation."""
        rows = self.forecast.sources.get(_SHARED_BY_A_FIRING)
        if rows is None:
            return self
        sources = {**self.forecast.sources, _SHARED_BY_A_FIRING: rows * left}
        return replace(self, forecast=replace(self.forecast, sources=sources))

    def optical(self, name: str) -> OpticalReading:
        """The zone as a reading that the optics take, with the forecast's doubt."""
        R = np.minimum(np.exp(self.forecast.ln_mean), 1.2)
        start = self.start
        wavelengths, seen = start.after(R)
        old, covariance = start.reading, self.forecast.covariance()
        told = Reading(
            name,
            stage=None,
            surface=self.surface,
            tissue=old.tissue,
            instrument=old.instrument,
            geometry=old.geometry,
            specular=old.specular,
            notes=EXPECTED,
            source=old.source,
        )
        if old.is_spectral:
            told = replace(told, wavelengths=_floats(wavelengths), reflectance=_floats(np.minimum(seen, 1.2)))
        else:
            viewing = old.viewing or Viewing()
            L, a, b = (float(one) for one in lab_on_grid(seen, viewing))
            told = replace(told, lab=(L, a, b), viewing=viewing)
        return OpticalReading(told, R, covariance, self.surface, start.shape, start.read_flat)

    def seen_doubt(self, viewing: Viewing) -> Floats:
        """Covariance (3, 3) of its L*, a*, b* under a viewing."""
        R = np.minimum(np.exp(self.forecast.ln_mean), 1.0)
        by = lab_jacobian(R, WAVELENGTHS, illuminant=viewing.illuminant, observer=viewing.observer) * R
        return np.asarray(by @ self.forecast.covariance() @ by.T)


def radius_90(lab: Floats, covariance: Floats) -> float:
    """The radius in ΔE00 that holds 9 in 10, from that which holds 19 in 20 (three axes alike)."""
    return float(delta_e_2000_radius(lab, covariance)) * 0.894  # sqrt(chi2(3): 6.25 / 7.81)


def expected_zone(
    zone: ZoneState, start: OpticalReading, since: Sequence[FiredLayers], case: Case, lab: LabOptics
) -> ExpectedZone:
    """The forecast of a zone from its last reading and what was fired since; raises InputError for stains unknown.

    It is kept with ``lab``: a step that changes other zones, or none, lets it stand.
    """
    shape = b"" if start.shape is None else start.shape.tobytes()
    arrays = start.reflectance.tobytes(), start.ln_covariance.tobytes(), shape
    told = case.operator, case.lots, case.programme, case.material
    question = zone, tuple(since), start.reading, start.surface, start.read_flat, arrays, told
    found: ExpectedZone | None = lab.expected.get(question)
    if found is None:
        found = _expected(zone, start, since, case, lab)
        if len(lab.expected) >= MOST_KEPT:
            lab.expected.clear()
        lab.expected[question] = found
    return found


def _expected(
    zone: ZoneState, start: OpticalReading, since: Sequence[FiredLayers], case: Case, lab: LabOptics
) -> ExpectedZone:
    stack: Layers = tuple(layer for one in since for layer in one.aged)
    glazed = any(one.kind in GLAZING or (one.layers and one.kind != "sinter") for one in since)
    key = f"{zone.key[0]} {zone.key[1]}"
    ratio, doubt = _aged(zone, since, start, case, lab)
    body = replace(start, reflectance=np.maximum(start.reflectance * ratio, _DARKEST))
    surface = "glazed" if glazed else start.surface
    if not stack and not (glazed and has_bare_face(start.surface)):
        rows = {f"reading {key}": _root(start.ln_covariance)}
        found = Forecast((), np.log(body.reflectance), rows)
    else:
        last = since[-1]
        hands = lab.hands(last.operator or case.operator, {**dict(case.lots), **dict(last.lots)}, last.programme)
        finish = "glaze" if glazed else "none"
        (found,) = forecasts_on(body, [stack], lab, hands, finish=finish, material=case.material, key=key)
    heats = zone.heats
    own = np.full((1, len(WAVELENGTHS)), np.hypot(HEAT_SD * np.sqrt(heats), doubt))
    found = replace(found, sources={**found.sources, f"heat {key}": own} if heats or doubt else found.sources)
    return ExpectedZone(replace(start, reading=start.reading), found, surface)


def _aged(
    zone: ZoneState, since: Sequence[FiredLayers], start: OpticalReading, case: Case, lab: LabOptics
) -> tuple[Floats | float, float]:
    """What further firings did to the layers that were read already: a ratio of reflectance, and doubt of ln R."""
    under = [one for one in zone.before_reading if one.kind != "sinter"]
    heats = zone.heats
    if not under or not heats:
        return 1.0, 0.0
    first = under[0].before
    if first is None or not first.is_spectral:
        return 1.0, AGED_SD * heats
    from stainbook.work.reading.optical import optical

    then = tuple(layer for one in under for layer in one.aged)
    now = tuple(replace(layer, firings=layer.firings + heats) for layer in then)
    try:
        bare = optical(first, tissue=zone.tissue)
        hands = lab.hands(case.operator, dict(case.lots), case.programme)
        one, other = forecasts_on(
            bare, [then, now], lab, hands, finish="glaze", material=case.material, key=f"{zone.key[0]} {zone.key[1]}"
        )
    except InputError:
        return 1.0, AGED_SD * heats
    return np.exp(other.ln_mean - one.ln_mean), 0.0


def beside_gum_liquid(found: Mapping[Key, ExpectedZone], soaked_gum: Collection[Key]) -> dict[Key, ExpectedZone]:
    """The same zones, with doubt towards pink in each neck whose own gum took liquid: liquids creep in open pores."""
    told = dict(found)
    for key in soaked_gum:
        neck_key = (key[0], TOOTH_ZONES[0])
        neck, gum = told.get(neck_key), found[key]
        if neck is None:
            continue
        change = BLED * (gum.forecast.ln_mean - np.log(np.maximum(gum.start.reflectance, _DARKEST)))
        sources = {**neck.forecast.sources, f"bled {key[1]}": change[np.newaxis]}
        told[neck_key] = replace(neck, forecast=replace(neck.forecast, sources=sources))
    return told


# ---------------------------------------------------------------- neighbours of the same firing


@dataclass(frozen=True, slots=True, eq=False)
class ReadNeighbour:
    """A zone of a firing that was read after it: its forecast, and what came out (31,) with its doubt (31, 31)."""

    forecast: Forecast
    ln_after: Floats
    covariance: Floats


def firing_turned_out(neighbours: Iterable[ReadNeighbour], viewing: Viewing) -> tuple[float, float]:
    """How a firing turned out, in its own standard deviations, and what is left of them.

    Only what the zones of one firing share is read off: hands, jars and curves are learnt from outcomes already. Each
    neighbour counts by its L*, a*, b* (3,); one that nothing explains does not count.
    """
    precision, total = 1.0, 0.0
    for one in neighbours:
        rows = one.forecast.sources.get(_SHARED_BY_A_FIRING)
        if rows is None:
            continue
        R = np.minimum(np.exp(one.forecast.ln_mean), 1.0)
        by = lab_jacobian(R, WAVELENGTHS, illuminant=viewing.illuminant, observer=viewing.observer) * R
        way = by @ rows[0]
        rest = by @ (one.forecast.covariance() - np.outer(rows[0], rows[0]) + one.covariance) @ by.T
        rest = rest + 1e-6 * np.eye(3)
        apart = by @ (one.ln_after - one.forecast.ln_mean)
        if apart @ np.linalg.solve(rest + np.outer(way, way), apart) > _OUTLIER:
            continue
        weight = np.linalg.solve(rest, way)
        precision += float(weight @ way)
        total += float(weight @ apart)
    return total / precision, float(1.0 / np.sqrt(precision))


def conditioned(
    found: Mapping[Key, ExpectedZone], neighbours: Sequence[ReadNeighbour], viewing: Viewing
) -> dict[Key, ExpectedZone]:
    """The zones of one firing that were not read, moved by those that were."""
    if not neighbours:
        return dict(found)
    share, left = firing_turned_out(neighbours, viewing)
    return {key: one.moved(share).surer(left) for key, one in found.items()}


def _root(covariance: Floats) -> Floats:
    values, vectors = np.linalg.eigh(covariance)
    keep = values > 1e-12
    return np.asarray((vectors[:, keep] * np.sqrt(values[keep])).T)


def _floats(values: Floats) -> tuple[float, ...]:
    return tuple(float(one) for one in np.maximum(values, 0.0))
