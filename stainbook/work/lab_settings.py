"""What the lab decided once for all its work, as the book keeps it, and as the work asks for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from stainbook.book import Book, open_book
from stainbook.colour import ThresholdSet, threshold_set, thresholds
from stainbook.kept import Settings
from stainbook.records import DEFAULT_SHARES, TISSUES, Case, Viewing
from stainbook.work.conditions import SPECTRA_SEEN_UNDER
from stainbook.work.instruments import book_exists

SCALE_STEP = 0.01  # g, of a scale that nothing is known of


def limits_in(book: Book, names: Sequence[str] = ()) -> dict[str, ThresholdSet]:
    """Thresholds by tissue: those named, else the lab's, else the defaults.

    Raises UnknownNameError for an unknown set.
    """
    chosen = {tissue: thresholds(tissue) for tissue in TISSUES}
    lab = {one.tissue: one for one in map(threshold_set, book.settings().thresholds)}
    return chosen | lab | {one.tissue: one for one in map(threshold_set, names)}


def limits_of(url: str | None) -> dict[str, ThresholdSet]:
    """The lab's thresholds by tissue, of a book that is not open; looking makes no book."""
    if not book_exists(url):
        return {tissue: thresholds(tissue) for tissue in TISSUES}
    with open_book(url) as book:
        return limits_in(book)


def viewing_in(book: Book) -> Viewing:
    """The light and observer of spectra that are compared with spectra."""
    return book.settings().viewing or SPECTRA_SEEN_UNDER


def scale_step_in(book: Book) -> float:
    """The step of the lab's scale, in grams."""
    return book.settings().scale_step or SCALE_STEP


def with_strengths(case: Case, settings: Settings) -> Case:
    """The case with the shares that the lab mixes, unless it names its own."""
    if not settings.strengths or case.limits.strengths != DEFAULT_SHARES:
        return case
    return replace(case, limits=replace(case.limits, strengths=settings.strengths))
