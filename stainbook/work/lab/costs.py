"""What cases took, before and since a day: firings, strips, try-ins, remakes a case, and what that costs."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence

from stainbook.book import Book
from stainbook.kept import Firing, Prices
from stainbook.work.documents.number_schemas import CostsResult, CostsRow
from stainbook.work.lab.numbers import check_days
from stainbook.work.lab.who_sees import FEW, LEAST_UNITS

_MINUTES = 60.0  # in an hour


def costs(book: Book, *, since: str | None = None) -> CostsResult:
    """What the cases took whose first firing was before a day, and since it; all of them where none is named.

    A remake is a milling after the first one of a case. Raises InputError for what is no day.
    """
    check_days(since, None)
    firings: dict[str, list[Firing]] = defaultdict(list)
    for one in book.firings():
        firings[one.case].append(one)
    done: dict[str, Counter[str]] = defaultdict(Counter)
    for step in book.steps():
        done[step.case][step.did] += 1
    first = {code: min(one.fired_at for one in found)[:10] for code, found in firings.items()}
    periods = {"all": list(firings)}
    if since is not None:
        periods = {
            "before": [code for code in firings if first[code] < since],
            "since": [code for code in firings if first[code] >= since],
        }
    prices = book.settings().prices or Prices()
    rows = [_row(name, codes, firings, done, prices) for name, codes in periods.items()]
    notes = [FEW] if any(row.few for row in rows) else []
    return CostsResult(since=since, currency=prices.currency, rows=rows, notes=notes)


def _row(
    period: str,
    codes: Sequence[str],
    firings: dict[str, list[Firing]],
    done: dict[str, Counter[str]],
    prices: Prices,
) -> CostsRow:
    count = len(codes)
    if count < LEAST_UNITS:
        return CostsRow(period=period, cases=count, few=True)
    fired = sum(len(firings[code]) for code in codes)
    remade = sum(max(0, done[code]["milled"] - 1) for code in codes)
    minutes = [one.minutes for code in codes for one in firings[code] if one.minutes is not None]
    cost = None
    if prices.firing is not None and prices.blank is not None:
        hours = sum(minutes) / _MINUTES * prices.hour if prices.hour is not None else 0.0
        cost = (fired * prices.firing + (count + remade) * prices.blank + hours) / count
    return CostsRow(
        period=period,
        cases=count,
        few=False,
        firings=fired / count,
        strips=sum(done[code]["stripped"] for code in codes) / count,
        try_ins=sum(done[code]["try-in"] for code in codes) / count,
        remakes=remade / count,
        minutes=sum(minutes) / count if minutes else None,
        cost=cost,
    )
