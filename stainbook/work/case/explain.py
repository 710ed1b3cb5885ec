"""Why the tool is as unsure as it says: a zone's doubt by its causes, and what was learnt of hand and jars."""

from __future__ import annotations

import numpy as np

from stainbook.book import Book
from stainbook.colour import WAVELENGTHS, delta_e_2000_metric, lab_jacobian
from stainbook.errors import UnknownNameError
from stainbook.language import say
from stainbook.match.factors import NOBODY
from stainbook.optics.forecast import Forecast
from stainbook.records import Layer, Layers, Pot, Viewing
from stainbook.work.case.advise import case_detail
from stainbook.work.case.current_case import What
from stainbook.work.case.problems import AdviceAsked, forecasts_of
from stainbook.work.documents.book_schemas import Cause, ExplainResult
from stainbook.work.reading.optical import lab_on_grid
from stainbook.work.stains.held import decisions_shown, held_back
from stainbook.work.stains.learnt import CHIPS_HAND
from stainbook.work.stains.learnt_told import counted, new_hand_sentence, scatter_sentence, sentence
from stainbook.work.stains.predict import LabOptics


def explain(book: Book, what: What, tooth: int, zone: str, wish: AdviceAsked | None = None) -> ExplainResult:
    """The doubt of a zone's first next step by its causes, the largest first, and what was learnt from what.

    Raises UnknownNameError for a zone that the case does not have, InputError for files that cannot be used.
    """
    detail = case_detail(book, what, wish)
    names = {(one.tooth, one.zone): i for i, one in enumerate(detail.shown.zones)}
    if (tooth, zone) not in names:
        have = (f"{t} {z}" for t, z in names)
        raise UnknownNameError(say("zone of {case}:", case=detail.case.case), f"{tooth} {zone}", have)
    place = names[tooth, zone]
    shown, colours = detail.shown.zones[place], detail.zones[place]
    held = [one for one in held_back(book, detail.case.case) if (one.tooth, one.zone) == (tooth, zone)]
    decided = decisions_shown(book, detail.case.case, (tooth, zone))
    if colours.now is None or colours.target is None:
        return ExplainResult(
            warnings=list(detail.warnings),
            case=detail.case.case,
            tooth=tooth,
            zone=zone,
            sigma=None,
            causes=[],
            learnt=[],
            held=held,
            decided=decided,
        )
    add = next((move for move in shown.moves if move.kind in ("add", "leave")), None)
    layers: Layers = tuple(Layer(Pot.of(one.pot), one.coats) for one in add.layers) if add else ()
    (found,) = forecasts_of(colours, [layers], detail.case, detail.lab, detail.hands)
    total, causes = budget(found, colours.target.viewing)
    return ExplainResult(
        warnings=list(detail.warnings),
        case=detail.case.case,
        tooth=tooth,
        zone=zone,
        step=add.why if add else None,
        sigma=total,
        causes=causes,
        learnt=_learnt(detail.lab, layers, detail.lab.whose((wish or AdviceAsked()).operator or detail.case.operator)),
        held=held,
        decided=decided,
    )


def budget(found: Forecast, viewing: Viewing) -> tuple[float, list[Cause]]:
    """One standard deviation of the colour in ΔE00, and each cause's share of its square."""
    R = found.reflectance
    by_ln = lab_jacobian(R, WAVELENGTHS, illuminant=viewing.illuminant, observer=viewing.observer) * R
    metric = delta_e_2000_metric(lab_on_grid(R, viewing))
    squares: dict[str, float] = {}
    for name, rows in found.sources.items():
        steps = rows @ by_ln.T
        told = _cause(name)
        squares[told] = squares.get(told, 0.0) + float(np.einsum("ki,ij,kj->", steps, metric, steps))
    total = sum(squares.values())
    ordered = sorted(squares.items(), key=lambda item: -item[1])
    causes = [Cause(cause=told, share=value / total, sigma=value**0.5) for told, value in ordered if total > 0]
    return total**0.5, causes


def _cause(source: str) -> str:
    """A source of doubt of the forecast in words."""
    kind, _, name = source.partition(" ")
    if kind == "operator":
        return _of_hand(name)
    return {
        "hand": say("how much the hand lays on, coat by coat"),
        "firing": say("one firing against another"),
        "lot": say("the strength of lot {name}", name=name),
        "fit": say("what the stripes tell too little of: {stain}", stain=name),
        "learnt": say("hand, jars and stains together, as outcomes have taught"),
        "surface": say("stray light of the bare face when it was read"),
        "reading": say("the reading of the piece"),
        "result": say("the reading of what comes out: readings here repeat less well than they state"),
        "model": say("what the optics cannot follow"),
    }[kind]


def _of_hand(name: str) -> str:
    if name == CHIPS_HAND:
        return say("whoever paints against the technician who painted the stripes")
    return say("the hand of {name} against the technician who painted the stripes", name=name)


def _learnt(lab: LabOptics, layers: Layers, operator: str | None) -> list[str]:
    """What outcomes taught of the hand that is meant and of the jars in use, and what they say nothing of."""
    known, used = lab.known, {name for layer in layers for name in layer.pot.stains}
    told = [
        sentence(factor)
        for (what, name, stain), factor in sorted(known.factors.items(), key=str)
        if (what == "operator" and name == (operator or NOBODY))
        or what == "programme"
        or (what == "lot" and stain in used and {**known.newest_lots, **lab.in_work({})}.get(stain or "") == name)
    ]
    scatter = known.scatters.get(operator or NOBODY)
    if scatter is not None:
        told.append(scatter_sentence(scatter))
    elif operator and operator != lab.optics.operator and known.scatters:
        told.append(new_hand_sentence(operator, known.new_hand))
    if known.older:
        told.append(say("{outcomes} older than these: not learnt from any longer", outcomes=counted(known.older)))
    return told
