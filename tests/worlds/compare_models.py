"""Optical models beside one another: the same chips, priors and fit, another way for light through a layer.

``python -m tests.worlds.compare_models [FOLDER...]`` prints the table of DEVELOPERS.md: ΔE00 of predicted colours to
the ideal ones. Folders hold chips.csv, readings.csv, stains.yaml and trials.csv; simulated labs are added.
"""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from unittest.mock import patch

import numpy as np
from scipy.optimize import minimize

from stainbook.optics import calibrate as calibration
from stainbook.optics.ceramic import base_of, has_bare_face, through_face
from stainbook.optics.film import LOWEST, Piece, reading_after
from stainbook.optics.fit import FiredChip
from stainbook.optics.forecast import forecast
from stainbook.optics.interfaces import fresnel
from stainbook.optics.streams import GLASS
from stainbook.records import Viewing
from stainbook.work.stains.stain_calibration import fired_chip
from tests.optics import kubelka_munk as km
from tests.optics.reference import Streams, lay_on, slab_by_doubling
from tests.worlds.fired_labs import FiredLab, colour, differences, from_files, simulated, table

DEFAULT = (Path("../shared/practice-lab"), Path("../shared/practice-matt"))
SEEDS = (61, 62)
TEXTBOOK = (0.5963, 0.823, 0.133)  # k2 under glaze, k2 and k1 of bare zirconia: facts in tests/published
DIFFUSE_PATH = 2.0  # two-flux K per K along the normal
TURNED_BACK = 2.0 * 0.2  # two-flux S per S along the normal of the model as shipped: keeps the priors the same

Reading = Callable[..., np.ndarray]


@dataclass(frozen=True)
class TwoFlux:
    """Kubelka and Munk with Saunderson's terms: one pair for readings under glaze, one for bare ones."""

    k2: float = TEXTBOOK[0]
    bare_k2: float = TEXTBOOK[1]
    bare_k1: float = TEXTBOOK[2]
    stray: float = 0.0

    def __call__(self, piece: Piece, K, S, *, soaked=None, glazed=True):
        """Takes the place of `reading_after`."""
        bare = has_bare_face(piece.surface)
        net = np.maximum(piece.reading - (self.stray if bare else 0.0), 1e-4)
        terms = (self.bare_k1, self.bare_k2) if bare else (0.04, self.k2)
        R = np.clip(km.inverse_saunderson(net, *terms, specular=False), 1e-4, 0.9999)
        for k, s in zip(K, S, strict=True):
            R = km.reflectance(DIFFUSE_PATH * k, TURNED_BACK * s, 1.0, R)
        return np.maximum(km.saunderson(R, 0.04, self.k2, specular=False), LOWEST)


NORMAL = float(np.sqrt(1.0 - (np.sin(np.radians(8.0)) / GLASS.index) ** 2))
FIVE = Streams((*GLASS.mu, NORMAL), (*GLASS.solid, 0.0), 0.2)


def five_streams(piece: Piece, K, S, *, soaked=None, glazed=True):
    """The model as shipped with a stream of its own for the entering beam, and its mirror image trapped exactly."""
    base = base_of(piece.reading, surface=piece.surface, stray=piece.stray, ceramic=piece.ceramic)
    if len(K) == 0:
        return np.maximum(through_face(base), LOWEST)
    matrix = _with_beam(base.matrix, piece)
    for k, s in zip(K, S, strict=True):
        matrix = lay_on(*slab_by_doubling(k, s, FIVE, thinnest=0.1), matrix)
    face = np.array([*GLASS.face, 0.0])
    up = np.linalg.solve(np.eye(3) - matrix * face, matrix[..., 2:])[..., 0]
    return np.maximum(GLASS.entering * (1.0 - GLASS.face[0]) * up[..., 0], LOWEST)


def _with_beam(matrix, piece: Piece):
    a, b, c, d = np.broadcast_arrays(*matrix)
    out = np.zeros((*a.shape, 3, 3))
    out[..., 0, 0], out[..., 0, 1], out[..., 1, 0], out[..., 1, 1] = a, b, c, d
    index = max(piece.ceramic.index / GLASS.index, 1.0) if has_bare_face(piece.surface) else 1.0
    mirror = float(fresnel(1.0, index))
    lost = base_of(piece.reading, surface=piece.surface, stray=piece.stray, ceramic=piece.ceramic).mirror
    share = (1.0 - mirror) / (1.0 - lost)  # the beam meets a face that reflects as near the normal
    out[..., 0, 2], out[..., 1, 2], out[..., 2, 2] = (a - lost) * share, c * share, mirror
    return out


# ---------------------------------------------------------------- fitting and judging


def fired(lab: FiredLab) -> list[FiredChip]:
    """The lab's chips ready for fitting."""
    return [fired_chip(chip, lab.readings, {}, lab.stains) for chip in lab.chips]


@contextlib.contextmanager
def using(model: Reading, backward: float = 0.2) -> Iterator[None]:
    """Layers are computed by another model; no chip is held back, so that all models see the same ones."""
    with (
        patch("stainbook.optics.laid.reading_after", model),
        patch("stainbook.optics.calibrate.reading_after", model),
        patch("stainbook.optics.streams.BACKWARD", backward),
        patch("stainbook.optics.calibrate._hold_back", _keep_all),
    ):
        yield


def _keep_all(fitted):
    return {}, []


def errors(lab: FiredLab, model: Reading, backward: float = 0.2) -> np.ndarray:
    """ΔE00 of every trial to its ideal colour, under D65, 10°."""
    with using(model, backward):
        optics = calibration.calibrate(fired(lab), lab.stains).optics
        ceramic = optics.ceramic("zirconia")
        found = []
        for trial in lab.trials:
            before = trial.before
            stray = ceramic.stray if before.surface == "matt" else 0.0
            piece = Piece(np.array(before.reflectance), before.surface, stray, ceramic)
            found.append(forecast(optics, piece, [trial.layers])[0].reflectance)
    return differences(colour(np.array(found), Viewing()), [trial.ideal for trial in lab.trials], Viewing())


def fitted_terms(lab: FiredLab) -> TwoFlux:
    """Saunderson's terms that meet the lab's chips best, by the cost of the same fit."""
    chips = fired(lab)
    bare = any(has_bare_face(chip.body_surface) for chip in chips)
    start = np.array([0.5963, *((0.823, 0.03) if bare else ())])
    size = np.array([0.1, *((0.1, 0.02) if bare else ())])

    def terms(x) -> TwoFlux:
        k2, *rest = start + size * x
        bare_k2, stray = rest or (TEXTBOOK[1], 0.0)
        return TwoFlux(k2=float(np.clip(k2, 0, 0.95)), bare_k2=float(np.clip(bare_k2, 0, 0.95)), stray=stray)

    def cost(x) -> float:
        with using(terms(x)):
            return sum(solution.cost for solution in calibration.calibrate(chips, lab.stains).solutions)

    options = {"maxfev": 24 if bare else 10, "initial_simplex": np.vstack([np.zeros(start.size), np.eye(start.size)])}
    return terms(minimize(cost, np.zeros(start.size), method="Nelder-Mead", options=options).x)


def models(lab: FiredLab) -> dict[str, np.ndarray]:
    """Every model's errors on one lab."""
    found = {"two-flux Kubelka–Munk, textbook Saunderson": errors(lab, TwoFlux())}
    terms = fitted_terms(lab)
    print(lab.name, terms, file=sys.stderr, flush=True)
    found["two-flux Kubelka–Munk, fitted face terms"] = errors(lab, terms)
    found["four streams, isotropic scatter"] = errors(lab, reading_after, 0.5)
    found["four streams as shipped, 0.2 backward"] = errors(lab, reading_after)
    found["five streams (beam apart), 0.2 backward"] = errors(lab, five_streams)
    return found


def main(folders: list[Path]) -> None:
    """Print the table, labs as columns."""
    labs = [from_files(folder) for folder in folders if folder.exists()]
    groups = {lab.name: [lab] for lab in labs}
    for matt in (False, True):
        groups[f"{len(SEEDS)} {'matt' if matt else 'glazed'} labs"] = [simulated(seed, matt=matt) for seed in SEEDS]
    found: dict[str, list[str]] = {}
    for name, own in groups.items():
        parts = [models(lab) for lab in own]
        for model in parts[0]:
            d = np.concatenate([part[model] for part in parts])
            found.setdefault(model, []).append(f"{np.median(d):.2f} / {np.percentile(d, 95):.2f} ({d.mean():.2f})")
            print(name, model, found[model][-1], file=sys.stderr, flush=True)
    print(table(["model", *groups], [[model, *cells] for model, cells in found.items()]))


if __name__ == "__main__":
    main([Path(name) for name in sys.argv[1:]] or list(DEFAULT))
