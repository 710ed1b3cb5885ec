"""What the lab learns from its outcomes, and the lab as it stands after them: hands, jars, programmes.

What was learnt is kept as a fit of its own beside that of the chips, which it never changes. It holds
for the chips' fit that it was learnt with; a new calibration learns again from the same outcomes.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict
from typing import Any

from stainbook import __version__
from stainbook.book import Book, Transaction
from stainbook.book.entries import Fit
from stainbook.errors import BookError, InputError
from stainbook.kept import Outcome
from stainbook.match.factors import Factor, LearntFactors, NewHand, Scatter
from stainbook.match.fired import Fired
from stainbook.optics.ceramic import has_bare_face
from stainbook.optics.curves import Optics
from stainbook.optics.document import from_document, to_document
from stainbook.records import Body, Stain
from stainbook.work.documents.book_schemas import Learnt
from stainbook.work.reading.optical import optical
from stainbook.work.reading.plate_and_piece import Pieces
from stainbook.work.stains.learnt import SCOPE as CHIPS
from stainbook.work.stains.learnt import Known, learnt
from stainbook.work.stains.learnt_told import factors_told

SCOPE = "learnt"
RULES = 6  # of learning: what was learnt by other ones does not follow from the records by these
NEWEST = 600  # zones that are learnt from: the time goes with their number, and what is newer tells more of today
FEW = 12  # zones of a hand, jar or programme that the newest show less often: so many older ones of it are taken too
MOST = 900  # zones in all
_TEACHING = frozenset({"outcome", "decision", "correction", "erased", "share", "stain", "body", "chip"})
_MOST_ROWS = 1000  # stored meanwhile that are looked at


def learn_from(book: Book) -> list[Learnt]:
    """Learn from the chips and all outcomes of the book, keep it, and tell it, each in a sentence."""
    return factors_told(relearn(book))


def relearn(book: Book) -> LearntFactors | None:
    """Learn again from everything that the book holds, and keep it; None where there is nothing to learn from.

    It takes seconds: where other sessions store what teaches meanwhile, it is learnt with that once more.
    """
    from stainbook.work.stains.work_stripes import begin

    begin(book)
    while True:
        then = book.frozen()
        again = learnt_again(then)
        if again is None:
            return None
        found, document, data = again
        with book.transaction() as step:
            if _taught_since(step, then):
                continue
            last = step.fit(SCOPE)
            if last is None or last.document != _plain(document):
                step.add_fit(SCOPE, document, data=data)
        return found


def _taught_since(book: Transaction, then: Book) -> bool:
    """Whether the book got records since, of those that learning goes by."""
    stored = book.stored_since(then.scope.upto or 0, _MOST_ROWS)
    return len(stored) == _MOST_ROWS or any(
        kind in _TEACHING or (kind, name) == ("fit", CHIPS) for kind, name in stored
    )


def learnt_again(book: Book) -> tuple[LearntFactors, dict[str, Any], bytes] | None:
    """What the chips' newest fit and the outcomes teach, with the document and arrays that are kept of it.

    Outcomes that somebody set aside are left out, those that somebody confirmed count however far off they are.
    """
    from stainbook.match.learning import learn  # with the fit of stripes, which lists of cases need not wait for

    try:
        optics, chip_lots = learnt(book)
    except InputError:
        return None
    decided = book.decisions()
    wrong = {name for name, one in decided.items() if one.verdict == "wrong"}
    outcomes = sorted((one for one in book.outcomes() if one.outcome not in wrong), key=lambda one: one.fired_at)
    taken = learnt_from(outcomes)
    fired = fired_zones(taken, optics, chip_lots, book.bodies(), Pieces.of_book(book))
    if not fired:
        return None
    found = learn(
        optics,
        fired,
        families=_families(book.stains()),
        lots_before=lots_before(taken),
        confirmed=frozenset(decided.keys() - wrong),
    )
    fit = book.fit(CHIPS)
    document, data = to_document(found.optics)
    own = {
        "of_fit": fit.revision if fit else 0,
        "rules": RULES,
        "factors": [asdict(one) for one in found.factors.values()],
        "scatters": [asdict(one) for one in found.scatters.values()],
        "new_hand": asdict(found.new_hand),
        "firing": found.firing,
        "held": found.held,
        "newest_lots": {stain: lot for one in taken for stain, lot in one.lots},
        "older": len(outcomes) - len(taken),
    }
    return found, {**document, **own, "version": __version__}, data


def _plain(document: Mapping[str, object]) -> object:
    return json.loads(json.dumps(document))


def known_of(book: Book) -> tuple[Optics, Known] | None:
    """Curves, and what else outcomes showed; None unless learnt with the chips' newest fit, by the present rules."""
    fit, chips = book.fit(SCOPE), book.fit(CHIPS)
    if fit is None or chips is None or fit.document.get("of_fit") != chips.revision:
        return None
    if fit.document.get("rules") != RULES:
        fit = _by_the_present_rules(book)
        if fit is None:
            return None
    told = fit.document
    factors = [Factor(**{**row, "shared": tuple(row["shared"])}) for row in told["factors"]]
    scatters = [Scatter(**row) for row in told["scatters"]]
    known = Known(
        factors={one.key: one for one in factors},
        newest_lots=dict(told["newest_lots"]),
        scatters={one.operator: one for one in scatters},
        new_hand=NewHand(**{**told["new_hand"], "shared": tuple(told["new_hand"]["shared"])}),
        firing=told["firing"],
        older=told["older"],
    )
    return from_document(told, fit.data or b""), known


def _by_the_present_rules(book: Book) -> Fit | None:
    """What was learnt by the rules of before, learnt again from the same records and kept; None where it cannot be."""
    if not isinstance(book, Book) or book.scope.upto is not None:
        return None
    try:
        relearn(book)
    except BookError:  # a book that can only be looked at
        return None
    found = book.fit(SCOPE)
    return found if found is not None and found.document.get("rules") == RULES else None


def learnt_from(outcomes: Sequence[Outcome]) -> list[Outcome]:
    """The outcomes, oldest first, that are learnt from: the newest, and a few of each hand, jar, programme not there.

    A hand that comes back after years, or a jar that was not used up, so keeps what was learnt of it.
    """
    seen: Counter[tuple[str, str]] = Counter()
    taken: list[Outcome] = []
    for one in reversed(outcomes):
        own = [("operator", one.operator or ""), ("programme", one.programme or ""), *one.lots]
        if len(taken) < NEWEST or any(seen[key] < FEW for key in own):
            taken.append(one)
            seen.update(own)
        if len(taken) == MOST:
            break
    return taken[::-1]


def lots_before(outcomes: Iterable[Outcome]) -> dict[tuple[str, str], str]:
    """By stain and lot, the lot that was in use when that one came; ``outcomes`` the oldest first."""
    before: dict[tuple[str, str], str] = {}
    newest: dict[str, str] = {}
    for one in outcomes:
        for stain, lot in one.lots:
            if stain in newest and (stain, lot) not in before and newest[stain] != lot:
                before[stain, lot] = newest[stain]
            before.setdefault((stain, lot), "")  # the first one follows the chips'
            newest[stain] = lot
    return before


def fired_zones(
    outcomes: Iterable[Outcome],
    optics: Optics,
    chip_lots: Mapping[str, str],
    bodies: Mapping[str, Body],
    pieces: Pieces | None = None,
) -> list[Fired]:
    """Outcomes as the fit wants them; those without a reading before, or whose light is not known, teach nothing.

    ``pieces`` knows how the chips were read: readings are brought there.
    """
    fired = []
    for one in outcomes:
        if one.before is None or one.after is None or not one.layers:
            continue
        try:
            before = optical(one.before, body=bodies.get(one.before.sample), tissue=one.tissue)
            after = optical(one.after, tissue=one.tissue)
        except InputError:
            continue
        if pieces is not None:
            before, after = (found.crossing(pieces.way(found.reading, one.material)) for found in (before, after))
        finish = one.finish or "glaze"
        fired.append(
            Fired(
                key=one.outcome,
                reading=before.reflectance,
                surface=before.surface,
                ceramic=optics.ceramic(one.material).read_at(one.before.stage),
                layers=one.layers,
                after=after.reflectance,
                covariance=before.ln_covariance + after.ln_covariance,
                material=one.material,
                operator=one.operator,
                programme=one.programme,
                lots={stain: lot for stain, lot in one.lots if chip_lots.get(stain) != lot},
                firing=f"{one.fired_at} {one.furnace or ''}",
                glazed=finish == "glaze" or not has_bare_face(before.surface),
            )
        )
    return fired


def _families(stains: Mapping[str, Stain]) -> dict[str, tuple[str, str | None]]:
    return {name: (stain.kind, stain.family) for name, stain in stains.items()}
