"""The searches of the zones of a case: what every option does to each of them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from stainbook.match.candidates import Neighbours, Search
from stainbook.match.frame import TargetFrame
from stainbook.match.guess import OptionDoubt, option_doubt, zone_doubt
from stainbook.match.layer_options import Options
from stainbook.match.lights import Lights
from stainbook.match.problem import Bench, ZoneProblem
from stainbook.match.response import OptionResponse, response_of
from stainbook.optics.forecast import ForecastRequest, Forecasts
from stainbook.optics.two_by_two import Array
from stainbook.records import Layers


def wanted_of(bench: Bench, problem: ZoneProblem, frame: TargetFrame, layers: Layers) -> ForecastRequest:
    """What is to be forecast of layers on a zone."""
    glassy = bool(layers) and not bench.soaks  # what lies on the piece is glass, whatever the finish
    return ForecastRequest(problem.now, layers, problem.glazed or glassy, problem.name, frame.weights)


def searches_for(
    bench: Bench, problems: Sequence[ZoneProblem], frames: Sequence[TargetFrame], left: Forecasts, options: Options
) -> Iterator[tuple[int, Search, OptionDoubt]]:
    """One search a zone, the same for zones that are one question; what every option does is worked out once for all
    zones of one ceramic and surface."""
    rest, bases, most = left.covariance(), _bases(bench, problems, frames, left), bench.limits.liquid_way
    every = np.arange(len(options))[:, None]
    for rows in _alike(problems):
        response, doubt = _shared(bench, options, problems, frames, rows)
        known: dict[tuple[object, ...], Search] = {}
        for i in rows:
            problem, frame = problems[i], frames[i]
            question = _question(problem, frame, left.ln_xyz[i], bases[i], rest[i])
            if question in known:
                yield i, known[question], doubt
                continue
            shifts = (frame.ln_xyz(response.after(problem.now.piece, every)) - bases[i]) @ frame.of_ln
            other = frame.of_ln.T @ rest[i] @ frame.of_ln
            if problem.target_covariance is not None:
                other = other + frame.of_lab.T @ problem.target_covariance @ frame.of_lab
            allowed = options.allowed([name for name, count in problem.firings_of.items() if count < 1])
            known[question] = Search(
                problem.now.piece,
                options,
                response,
                frame,
                shifts,
                Neighbours(shifts, allowed),
                zone_doubt(doubt, shifts, frame.of_ln, other),
                problem.thresholds.acceptable,
                Lights.of(problem).frames,
                (frame.steps(frame.lab(left.ln_xyz[i])), most) if bench.soaks and most is not None else None,
            )
            yield i, known[question], doubt


def _question(problem: ZoneProblem, frame: TargetFrame, *numbers: Array) -> tuple[object, ...]:
    """All that the search of a zone follows from beside its options: zones of an arch often ask the same."""
    piece, wanted = problem.now.piece, problem.target_covariance
    arrays = (piece.reading, frame.target, frame.offset, *numbers, *(() if wanted is None else (wanted,)))
    lights = tuple((one.viewing, one.target) for one in problem.lights)
    none_left = tuple(sorted(name for name, count in problem.firings_of.items() if count < 1))
    return (
        *(np.asarray(one).tobytes() for one in arrays), piece.stray, problem.viewing, problem.thresholds.acceptable,
        wanted is None, lights, none_left,
    )  # fmt: skip


def _bases(bench: Bench, problems: Sequence[ZoneProblem], frames: Sequence[TargetFrame], left: Forecasts) -> Array:
    """(z, 3) ln X, Y, Z that shifts count from: the piece under its finish, or under the glass that stain brings."""
    bases = left.ln_xyz.copy()
    bare = [i for i, one in enumerate(problems) if one.now.is_bare and not one.glazed and not bench.soaks]
    wanted = [ForecastRequest(problems[i].now, (), True, problems[i].name, frames[i].weights) for i in bare]
    bases[bare] = bench.forecasts(wanted).ln_xyz
    return bases


def _shared(
    bench: Bench, options: Options, problems: Sequence[ZoneProblem], frames: Sequence[TargetFrame], rows: Sequence[int]
) -> tuple[OptionResponse, OptionDoubt]:
    """Response and doubt of the options; the doubt as the body of middling lightness shows it."""
    middle = sorted(rows, key=lambda i: float(problems[i].now.piece.reading.mean()))[len(rows) // 2]
    one = problems[middle]
    response = response_of(bench, options, one.now.piece, glazed=one.glazed)
    return response, option_doubt(bench, options, one.now, frames[middle].weights)


def _alike(problems: Sequence[ZoneProblem]) -> Iterator[list[int]]:
    groups: dict[tuple[object, ...], list[int]] = {}
    for i, problem in enumerate(problems):
        piece = problem.now.piece
        groups.setdefault((piece.ceramic, piece.surface, problem.glazed), []).append(i)
    yield from groups.values()
