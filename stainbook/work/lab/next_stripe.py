"""Which stripe to fire next: what each would add to the chance of being accepted, over the cases that are open."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from stainbook.book import Book
from stainbook.colour import delta_e_2000
from stainbook.errors import InputError
from stainbook.language import say
from stainbook.match import ZoneProblem, advise_case
from stainbook.match.odds import target_draws
from stainbook.optics.film import Piece
from stainbook.optics.forecast import Forecast, draw, forecast, normals
from stainbook.optics.gain import left_open
from stainbook.records import Layers
from stainbook.work.case.current_case import What
from stainbook.work.case.problems import AdviceAsked, PreparedCase, open_cases, prepare_case
from stainbook.work.documents.day_schemas import NextStripe
from stainbook.work.reading.optical import lab_on_grid, optical
from stainbook.work.stains.predict import LabOptics, piece_of
from stainbook.work.stains.stripes import PLAN

DRAWS = 512
MOVES = 5  # of each zone: less doubt may make another of them the best
TRIED = PLAN[:3]
LEAST = 0.0005  # of a chance; less is not worth a firing, and not told


@dataclass(frozen=True, slots=True, eq=False)
class _Open:
    """A zone of an open case, the moves that come into question with their draws, and the best one's chance now."""

    case: str
    problem: ZoneProblem
    forecasts: tuple[Forecast, ...]
    draws: tuple[np.ndarray, ...]  # (DRAWS, 31) ln reflectance of each
    targets: np.ndarray
    now: float = 0.0

    @property
    def stains(self) -> set[str]:
        """All that the moves lay on."""
        return {name for one in self.forecasts for layer in one.layers for name in layer.pot.stains}

    def chance(self, stain: str = "", root: np.ndarray | None = None) -> float:
        """The chance that the best move is accepted, with one stain's doubt as a stripe would leave it."""
        return max(
            self._accepted(ln if root is None else ln + _step(one, stain, root))
            for one, ln in zip(self.forecasts, self.draws, strict=True)
        )

    def _accepted(self, ln: np.ndarray) -> float:
        lab = lab_on_grid(np.exp(ln), self.problem.viewing) + np.asarray(self.problem.lab_offset)
        return float(np.mean(delta_e_2000(lab, self.targets) <= self.problem.thresholds.acceptable))


def _step(one: Forecast, stain: str, root: np.ndarray) -> np.ndarray | float:
    """How each draw of a forecast moves when a stain's doubt shrinks: the same luck, in a narrower world."""
    rows = one.sources.get(f"fit {stain}")
    if rows is None:
        return 0.0
    return np.asarray(normals(f"fit {stain}", DRAWS, len(rows)) @ (root.T @ rows - rows))


def next_stripes(book: Book, cases: Sequence[What], wish: AdviceAsked | None = None) -> list[NextStripe]:
    """Stripes of the stains that the open cases' best moves use, the most useful first.

    The gain is that of the best move of each zone with the doubt that would be left once the stripe was read.

    Raises InputError for cases that cannot be used, and a book without a plate's bare reading.
    """
    wish = wish or AdviceAsked()
    return stripes_for(book, [prepare_case(book, path, wish) for path in cases])


def stripes_for_open(book: Book, wish: AdviceAsked | None = None) -> tuple[list[NextStripe], list[str]]:
    """As `next_stripes`, for all cases of the book that are open, and one line for each that could not be counted.

    Raises InputError where no case is open, and as `next_stripes` does.
    """
    cases, told = open_cases(book, wish or AdviceAsked())
    if not cases:
        if not told:
            raise InputError(say("the book holds no open case that stripes could help; name case files after --next"))
        raise InputError(
            say(
                "the book holds no open case that stripes could help: {reason}; name case files after --next",
                reason=told[0],
            )
        )
    return stripes_for(book, cases), told


def stripes_for(book: Book, cases: Sequence[PreparedCase]) -> list[NextStripe]:
    """As `next_stripes`, for one or more cases that were looked up."""
    zones = [zone for one in cases for zone in _zones(one)]
    lab = cases[0].lab
    plates = _plates(book, lab)
    found = []
    for stain in sorted({name for zone in zones for name in zone.stains}):
        for share, coats in TRIED:
            for plate, piece in plates.items():
                root = left_open(lab.optics, piece, stain, share, coats, families=lab.families)
                gains = [zone.chance(stain, root) - zone.now if stain in zone.stains else 0.0 for zone in zones]
                found.append(
                    _gain(NextStripe(rank=1, stain=stain, share=share, coats=coats, plate=plate), zones, gains)
                )
    return _ranked(found)


def _ranked(found: Iterable[NextStripe]) -> list[NextStripe]:
    worth = sorted((one for one in found if one.gain >= LEAST), key=lambda one: -one.gain)
    return [one.model_copy(update={"rank": rank}) for rank, one in enumerate(worth, 1)]


def _zones(prepared: PreparedCase) -> list[_Open]:
    advice = advise_case(prepared.bench, prepared.problems, stage=prepared.case.stage)
    moves = {one.key: tuple(move.layers for move in one.moves[:MOVES] if move.kind == "add") for one in advice.zones}
    return [_open(prepared, one, moves[one.key]) for one in prepared.problems if moves.get(one.key)]


def _open(prepared: PreparedCase, problem: ZoneProblem, stacks: Sequence[Layers]) -> _Open:
    forecasts = forecast(
        prepared.lab.optics,
        problem.now.piece,
        stacks,
        key=problem.name,
        glazed=problem.glazed,
        hands=prepared.hands,
        families=prepared.lab.families,
        stray_sd=problem.now.stray_sd,
        reading_covariance=problem.now.covariance,
    )
    draws = tuple(draw(one, DRAWS) for one in forecasts)
    bare = _Open(prepared.case.case, problem, tuple(forecasts), draws, target_draws(problem, DRAWS))
    return replace(bare, now=bare.chance())


def _plates(book: Book, lab: LabOptics) -> dict[str, Piece]:
    """The plates of the book's chips that were read bare."""
    found = {}
    for name in dict.fromkeys(chip.body for chip in book.chips()):
        reading = book.find_reading(name)
        if reading is not None:
            found[name] = piece_of(optical(reading, body=lab.bodies.get(name)), lab, None)
    if not found:
        raise InputError(
            say("the book holds no plate that was read bare: fire a first plate, `stainbook plate STAIN…`")
        )
    return found


def _gain(stripe: NextStripe, zones: Sequence[_Open], gains: Sequence[float]) -> NextStripe:
    cases: dict[str, list[float]] = {}
    for zone, one in zip(zones, gains, strict=True):
        cases.setdefault(zone.case, []).append(one)
    means = {name: float(np.mean(some)) for name, some in cases.items()}
    return stripe.model_copy(update={"gain": float(np.mean(gains)), "cases": means})
