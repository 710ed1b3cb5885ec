"""What the lab learns from its outcomes, and the lab as it stands after them: hands, jars, programmes.

What was learnt is kept as a fit of its own beside that of the chips, which it never changes. It holds
for the chips' fit that it was learnt with; a new calibration learns again from the same outcomes.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import Any

from stainbook import __version__
from stainbook.book import Book
from stainbook.errors import InputError
from stainbook.kept import Outcome
from stainbook.match.fired import Fired
from stainbook.match.learning import Factor, learn
from stainbook.match.learning import Learnt as LearntFactors
from stainbook.optics.ceramic import has_bare_face
from stainbook.optics.curves import Optics
from stainbook.optics.document import from_document, to_document
from stainbook.records import Body, Stain
from stainbook.work.book_schemas import Learnt
from stainbook.work.learnt import SCOPE as CHIPS
from stainbook.work.learnt import Factors, learnt
from stainbook.work.optical import optical

SCOPE = "learnt"
NEWEST = 600  # zones that are learnt from: jars and hands of long ago tell nothing of today's
TOLD_APART = 0.10  # of ln amount: what is known less surely than this can't yet be told from the hand


def learn_from(book: Book) -> list[Learnt]:
    """Learn from the chips and all outcomes of the book, keep it, and tell it, each in a sentence."""
    found = relearn(book)
    if found is None:
        return []
    shown = [factor for factor in found.factors.values() if factor.outcomes]  # all held back: nothing was learnt
    return [_told(factor) for factor in sorted(shown, key=lambda one: (one.what, one.stain or "", one.name))]


def relearn(book: Book) -> LearntFactors | None:
    """Learn again from everything that the book holds, and keep it; None where there is nothing to learn from."""
    again = learnt_again(book)
    if again is None:
        return None
    found, document, data = again
    last = book.fit(SCOPE)
    if last is None or last.document != _plain(document):
        book.add_fit(SCOPE, document, data=data)
    return found


def learnt_again(book: Book) -> tuple[LearntFactors, dict[str, Any], bytes] | None:
    """What the chips' newest fit and the outcomes teach, with the document and arrays that are kept of it."""
    try:
        optics, chip_lots = learnt(book)
    except InputError:
        return None
    outcomes = sorted(book.outcomes(), key=lambda one: one.fired_at)[-NEWEST:]
    fired = fired_zones(outcomes, optics, chip_lots, book.bodies())
    if not fired:
        return None
    found = learn(optics, fired, families=_families(book.stains()))
    fit = book.fit(CHIPS)
    document, data = to_document(found.optics)
    factors = [
        {"what": f.what, "name": f.name, "stain": f.stain, "ln": f.ln, "sd": f.sd, "outcomes": f.outcomes}
        for f in found.factors.values()
    ]
    lots = {stain: lot for one in outcomes for stain, lot in one.lots}
    own = {"of_fit": fit.revision if fit else 0, "factors": factors, "held": found.held, "newest_lots": lots}
    return found, {**document, **own, "version": __version__}, data


def _plain(document: Mapping[str, object]) -> object:
    return json.loads(json.dumps(document))


def known_of(book: Book) -> tuple[Optics, Factors, dict[str, str]] | None:
    """Curves, factors and newest jars as outcomes showed them; None unless learnt with the chips' newest fit."""
    fit, chips = book.fit(SCOPE), book.fit(CHIPS)
    if fit is None or chips is None or fit.document.get("of_fit") != chips.revision:
        return None
    rows = [Factor(**row) for row in fit.document["factors"]]
    factors = {(row.what, row.name, row.stain): row for row in rows}
    return from_document(fit.document, fit.data or b""), factors, dict(fit.document["newest_lots"])


def fired_zones(
    outcomes: Iterable[Outcome], optics: Optics, chip_lots: Mapping[str, str], bodies: Mapping[str, Body]
) -> list[Fired]:
    """Outcomes as the fit wants them; those without a reading before, or whose light is not known, teach nothing."""
    fired = []
    for one in outcomes:
        if one.before is None or not one.layers:
            continue
        try:
            before = optical(one.before, body=bodies.get(one.before.sample), tissue=one.tissue)
            after = optical(one.after, tissue=one.tissue)
        except InputError:
            continue
        finish = one.finish or "glaze"
        fired.append(
            Fired(
                key=one.outcome,
                reading=before.reflectance,
                surface=before.surface,
                ceramic=optics.ceramic(one.material),
                layers=one.layers,
                after=after.reflectance,
                covariance=before.ln_covariance + after.ln_covariance,
                material=one.material,
                operator=one.operator,
                programme=one.programme,
                lots={stain: lot for stain, lot in one.lots if chip_lots.get(stain) != lot},
                glazed=finish == "glaze" or not has_bare_face(before.surface),
            )
        )
    return fired


def _families(stains: Mapping[str, Stain]) -> dict[str, tuple[str, str | None]]:
    return {name: (stain.kind, stain.family) for name, stain in stains.items()}


def _told(factor: Factor) -> Learnt:
    low, high = factor.interval
    return Learnt(
        what=factor.what,
        name=factor.name if factor.stain is None else f"{factor.stain} {factor.name}",
        factor=factor.factor,
        low=low,
        high=high,
        outcomes=factor.outcomes,
        sentence=sentence(factor),
    )


def sentence(factor: Factor) -> str:
    """What was learnt of one hand, jar or programme, as the bench says it."""
    who = {
        "operator": f"{factor.name} lays on",
        "lot": f"lot {factor.name} of {factor.stain} fires",
        "programme": f"programme {factor.name} fires",
    }[factor.what]
    times = "1 outcome" if factor.outcomes == 1 else f"{factor.outcomes} outcomes"
    if factor.sd > TOLD_APART:
        return f"how strong {who}, {times} can't yet tell from the hand's own scatter"
    percent = 100.0 * (factor.factor - 1.0)
    other = {"operator": "the hand that made the chips", "lot": "the one that the chips were made with"}
    than = other.get(factor.what, "the one that the chips were fired with")
    amount = "as strong as" if abs(percent) < 1.0 else f"{abs(percent):.0f} % {_more(factor, percent)} than"
    return f"{who} {amount} {than}, ± {100.0 * 1.96 * factor.sd * factor.factor:.0f} %, from {times}"


def _more(factor: Factor, percent: float) -> str:
    if factor.what == "operator":
        return "more" if percent > 0 else "less"
    return "stronger" if percent > 0 else "weaker"
