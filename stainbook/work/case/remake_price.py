"""What a remake costs, by the prices that the lab typed."""

from __future__ import annotations

from stainbook.kept import Prices
from stainbook.language import joined
from stainbook.words.money_words import remake_costs
from stainbook.work.documents.schemas import Move


def priced(move: Move, prices: Prices | None) -> Move:
    """A remake says what it costs, where the lab typed the prices of a blank and of a firing."""
    if move.kind != "remake" or prices is None or prices.blank is None or prices.firing is None:
        return move
    amount = prices.blank + (move.firings or 1.0) * prices.firing
    why = joined([one for one in (move.why, remake_costs(amount, prices.currency)) if one], "; ")
    return move.model_copy(update={"why": why})
