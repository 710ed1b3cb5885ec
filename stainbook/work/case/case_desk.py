"""A case worked out for its page: the advice, and everything that further mixes are tried on within a click."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from stainbook.book import Book
from stainbook.colour import WAVELENGTHS, lab_jacobian
from stainbook.match import Tried, Watch, ZoneAdvice, together, tried_by_hand
from stainbook.match.advice import Kind
from stainbook.optics.forecast import Forecast
from stainbook.records import Layer, Layers, Pot, Reading, Viewing
from stainbook.words.sentences import note
from stainbook.work.case.advise import CaseDetail, case_detail, move_shown
from stainbook.work.case.case_gaps import case_gaps
from stainbook.work.case.case_views import gaps_shown
from stainbook.work.case.current_case import What
from stainbook.work.case.views import BAND, NOW, PREDICTED, TARGET, CaseView, Curve, Floats, PathPoint, ZoneSeen
from stainbook.work.case.zone_paths import zone_paths
from stainbook.work.case.zones import ZoneColours
from stainbook.work.documents.schemas import AdvisedZone, Move, PaintedLayer
from stainbook.work.reading.reading_doubt import reflectance_covariance
from stainbook.work.stains.learnt import SCOPE
from stainbook.work.stains.predict import forecasts_on

MOST_COATS = 3  # that can be tried by hand, even where the case's own steps take fewer
MOST_LAYERS = 3
_KEPT = 4000  # steps whose forecast is kept for the next click

Key = tuple[int, str]


class Step(NamedTuple):
    """What is done to a zone, whoever thought of it."""

    kind: str
    layers: Layers
    body: str | None = None


class Offer(NamedTuple):
    """What a mix by hand is made of: stains, the lab's strengths, most coats and layers, and layers of one firing."""

    stains: tuple[str, ...]
    strengths: tuple[float, ...]
    coats: int
    layers: int
    usual_layers: int


@dataclass(slots=True, eq=False)
class CaseDesk:
    """A case on the desk; without ``detail`` there are gaps alone, since no stain was calibrated yet."""

    view: CaseView
    detail: CaseDetail | None = None
    paths: Mapping[Key, tuple[PathPoint, ...]] = field(default_factory=dict)
    partly: bool = False  # the steps are still being worked out, or that was stopped
    fit: int | None = None  # the revision of what was learnt that it was worked out by
    _tried: dict[tuple[Key, Step], tuple[Move, Tried]] = field(default_factory=dict)

    @property
    def offer(self) -> Offer | None:
        """What can be mixed by hand; None where nothing may be laid on."""
        if self.detail is None or not self.detail.ready.searches:
            return None
        bench = self.detail.prepared.bench
        layers = min(max(2, bench.limits.layers), MOST_LAYERS)
        coats = max(bench.limits.coats, MOST_COATS)
        stains = tuple(name for name in bench.stains if name not in bench.ready_alone)
        return Offer(stains, tuple(sorted(bench.limits.strengths)), coats, layers, bench.limits.layers)

    def lay(self, steps: Mapping[Key, Step]) -> dict[Key, Move]:
        """What steps make of zones, each as a move; zones that cannot be worked out are left out.

        Cost: a forecast of each step that was not tried before, some 10 ms.
        """
        return {key: move for key, (move, _) in self._laid(steps).items()}

    def together(self, steps: Mapping[Key, Step]) -> tuple[float, float] | None:
        """Chance that all these zones are accepted after this firing, and within those left; None where unknown."""
        held = self.detail is not None and self.detail.prepared.held_back
        found = {} if held else self._laid(steps)
        return together([tried for _, tried in found.values()]) if found else None

    def _laid(self, steps: Mapping[Key, Step]) -> dict[Key, tuple[Move, Tried]]:
        if self.detail is None:
            return {}
        places = {problem.key: i for i, problem in enumerate(self.detail.ready.problems)}
        wanted = {key: step for key, step in steps.items() if key in places and step.kind != "remake"}
        # sessions share a desk, and any of them may let go of what was kept
        held = {key: found for key, step in wanted.items() if (found := self._tried.get((key, step))) is not None}
        missing = {key: step for key, step in wanted.items() if key not in held}
        if missing:
            held |= self._take_up(missing, places)
        return {key: held[key] for key in wanted}

    def _take_up(self, missing: Mapping[Key, Step], places: Mapping[Key, int]) -> dict[Key, tuple[Move, Tried]]:
        assert self.detail is not None
        if len(self._tried) > _KEPT:
            self._tried.clear()
        kinds: dict[int, Kind] = {
            places[key]: "strip and restain" for key, step in missing.items() if step.kind == "strip and restain"
        }
        layers = {places[key]: step.layers for key, step in missing.items()}
        found = tried_by_hand(self.detail.prepared.bench, self.detail.ready, layers, kinds=kinds)
        told = not self.detail.prepared.held_back
        new = {key: (move_shown(move, told=told), tried) for key in missing for move, tried in [found[places[key]]]}
        self._tried.update({(key, missing[key]): one for key, one in new.items()})
        return new

    def seen(self, key: Key, step: Step | None) -> ZoneSeen:
        """What plots draw of a zone and a step."""
        if self.detail is None:
            return ZoneSeen(path=self.paths.get(key, ()))
        zone = next(one for one in self.detail.zones if one.zone.key == key)
        after, doubt = _after(zone, step, self.detail) if step else (None, None)
        return ZoneSeen(
            now=_read(NOW, zone.now.reading) if zone.now else None,
            after=after,
            target=_read(TARGET, zone.target.reading) if zone.target else None,
            doubt=doubt,
            path=self.paths.get(key, ()),
        )


def open_desk(book: Book, what: What, watch: Watch) -> CaseDesk:
    """A case worked out; its gaps alone before a stain was calibrated.

    Raises InputError for files that cannot be used, BookError for a book that cannot be opened, StoppedError
    when ``watch`` is to stop; what was found by then is left there.
    """
    gaps = case_gaps(book, what)
    paths = zone_paths(book, gaps.case.case, gaps.zones)
    if gaps.why is not None:
        return CaseDesk(gaps_shown(gaps), paths=paths)
    detail = case_detail(book, what, watch=watch)
    view = CaseView(detail.case, detail.shown, detail.warnings, detail.prepared.state)
    fit = book.fit(SCOPE)
    return CaseDesk(view, detail, paths, fit=fit.revision if fit else None)


def so_far(gaps: CaseView, found: Iterable[ZoneAdvice]) -> CaseDesk:
    """A case with the advice that was found until now."""
    told = {one.key: one for one in found}
    zones = [_with(zone, told.get((zone.tooth, zone.zone))) for zone in gaps.advised.zones]
    advised = gaps.advised.model_copy(update={"zones": zones})
    return CaseDesk(CaseView(gaps.case, advised, gaps.warnings, gaps.state), partly=True)


def _with(zone: AdvisedZone, found: ZoneAdvice | None) -> AdvisedZone:
    if found is None:
        return zone
    moves = [move_shown(move) for move in found.moves]
    return zone.model_copy(
        update={"verdict": found.verdict, "moves": moves, "why": note(found.note) if found.note else None}
    )


def step_of(move: Move) -> Step:
    """A move of advice as a step."""
    return Step(move.kind, layers_of(move.layers), move.body)


def layers_of(painted: Sequence[PaintedLayer]) -> Layers:
    """Layers of a document as records."""
    return tuple(Layer(Pot.of(one.pot), one.coats) for one in painted)


# ---------------------------------------------------------------- spectra


def _read(name: str, reading: Reading) -> Curve | None:
    """A reading's spectrum with the band of its repeats, or of common practice where there were none."""
    if not reading.is_spectral:
        return None
    spread = BAND * np.sqrt(np.diag(reflectance_covariance(reading)))
    R = np.asarray(reading.reflectance)
    return Curve(name, reading.wavelengths, reading.reflectance, _floats(R - spread), _floats(R + spread))


def _after(zone: ZoneColours, step: Step, detail: CaseDetail) -> tuple[Curve | None, Floats | None]:
    """What a step is expected to look like, and the doubt of its colour; None for another blank.

    No curve is given where no spectrum was read.
    """
    start = zone.bare if step.kind == "strip and restain" else zone.now
    if start is None or zone.target is None or step.kind == "remake":
        return None, None
    case = detail.case
    (found,) = forecasts_on(
        start, [step.layers], detail.lab, detail.hands, finish=zone.zone.finish or case.finish, material=case.material,
        key=f"{zone.zone.tooth} {zone.zone.zone}",
    )  # fmt: skip
    doubt = _lab_doubt(found, zone.target.viewing)
    if not start.reading.is_spectral:
        return None, doubt
    wavelengths, R = start.after(found.reflectance)
    spread = BAND * np.interp(wavelengths, WAVELENGTHS, np.sqrt(np.diag(found.covariance())))
    low, high = R * np.exp(-spread), R * np.exp(spread)
    return Curve(PREDICTED, _floats(wavelengths), _floats(R), _floats(low), _floats(high)), doubt


def _lab_doubt(found: Forecast, viewing: Viewing) -> Floats | None:
    """Covariance (3, 3) of the expected L*, a*, b*; None under a light that is not known."""
    if not viewing.known:
        return None
    R = np.minimum(found.reflectance, 1.0)
    by_ln = lab_jacobian(R, WAVELENGTHS, illuminant=viewing.illuminant, observer=viewing.observer) * R
    return np.asarray(by_ln @ found.covariance() @ by_ln.T)


def _floats(values: Floats) -> tuple[float, ...]:
    return tuple(float(value) for value in values)
