"""Advice made up from the demonstration lab's readings, so that pages are tested apart from the numbers."""

from __future__ import annotations

import numpy as np

from stainbook.book import Book
from stainbook.colour import delta_e_2000, delta_e_2000_parts, thresholds
from stainbook.work.case.case_desk import CaseDesk
from stainbook.work.case.current_case import known_case
from stainbook.work.case.views import CaseView
from stainbook.work.case.zones import ZoneColours, zone_colours
from stainbook.work.documents.schemas import AdvisedCase, AdvisedZone, ColourResult, Gap, Move, PaintedLayer

STEPS = (
    ([({"saddle": 1 / 8}, 1)], 0.92, "one coat of saddle 1:7 takes value down and adds chroma; ends a touch too red"),
    ([({"barley": 1 / 4, "peat": 1 / 8}, 2)], 0.85, "two coats; closer in hue, and a second mix to stir"),
    ([({"saddle": 1 / 16}, 1), ({"pollen": 1 / 4}, 1)], 0.75, "a base first, then chroma on top; more to go wrong"),
    ([({"wagtail": 1.0}, 2)], 0.5, "takes value down without chroma: half the way"),
)


def made_up_desk(book: Book, code: str) -> CaseDesk:
    """A case of the demonstration lab with steps that lead part of the way."""
    current = known_case(book, code)
    case = current.case
    zones = [_zone(one) for one in zone_colours(case, current.library(book))]
    return CaseDesk(CaseView(case, AdvisedCase(case=case.case, accept=0.71, zones=zones), state=current.state))


def _zone(found: ZoneColours) -> AdvisedZone:
    tooth, zone, tissue = found.zone.tooth, found.zone.zone, found.zone.tissue
    assert found.seen is not None
    assert found.target is not None
    now, target = found.seen.lab, found.target.lab
    parts = delta_e_2000_parts(now, target)
    limits = thresholds(tissue)
    size = float(parts.dE00)
    gap = Gap(
        dE00=size, dL=float(parts.dL), dC=float(parts.dC), dH=float(parts.dH),
        grade="within" if size <= limits.acceptable else "beyond", u=found.seen.u,
    )  # fmt: skip
    verdict = "leave" if size <= limits.perceptible else "out of reach" if size > 9.5 else "stain"
    share = 0.45 if verdict == "out of reach" else 1.0
    moves = [] if verdict == "leave" else [_move(k, now, target, share) for k in range(len(STEPS))]
    return AdvisedZone(
        tooth=tooth, zone=zone, tissue=tissue, gap=gap, verdict=verdict, moves=moves, now=_colour(now),
        target=_colour(target), why=None,
    )  # fmt: skip


def _move(place: int, now: np.ndarray, target: np.ndarray, share: float) -> Move:
    layers, way, why = STEPS[place]
    after = now + share * way * (target - now) + np.array([0.0, 0.4, -0.2])
    expected = float(delta_e_2000(after, target))
    accept = float(np.clip(1.25 - expected / 2.2, 0.02, 0.98))
    return Move(
        rank=place + 1, kind="add", layers=[PaintedLayer(pot=pot, coats=coats) for pot, coats in layers],
        colour=_colour(after), dE00=expected, dE00_p05=0.4 * expected, dE00_p95=1.7 * expected + 0.3, accept=accept,
        accept_within=min(1.0, accept + 0.2), firings=1.1, why=why,
    )  # fmt: skip


def _colour(lab: np.ndarray) -> ColourResult:
    return ColourResult(L=float(lab[0]), a=float(lab[1]), b=float(lab[2]), illuminant="D65", observer=10)
