"""One wording of a chance, for commands, pages, sheets and the PDF."""

from __future__ import annotations

SURE, HARDLY = 0.95, 0.05  # beyond which a tenth would say too much


def chance_words(chance: float) -> str:
    """A chance as it is said: ``about 8 in 10``; close to its ends as what it is more or less than."""
    if chance > SURE:
        return "more than 19 in 20"
    if chance < HARDLY:
        return "less than 1 in 20"
    return f"about {min(max(round(10 * chance), 1), 9)} in 10"
