"""What the lab decided once for all its work, as the book keeps it, and as the work asks for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from stainbook.book import Book
from stainbook.colour import ThresholdSet, threshold_set, thresholds
from stainbook.errors import InputError
from stainbook.kept import Settings
from stainbook.language import say
from stainbook.records import DEFAULT_SHARES, TISSUES, Case, Viewing
from stainbook.work.reading.viewing_conditions import SPECTRA_SEEN_UNDER, Asked

SCALE_STEP = 0.01  # g, of a scale that nothing is known of
MOST_STEP = 10.0  # g
MOST_STRENGTHS = 12


def limits_in(book: Book, names: Sequence[str] = ()) -> dict[str, ThresholdSet]:
    """Thresholds by tissue: those named, else the lab's, else the defaults.

    Raises UnknownNameError for an unknown set.
    """
    chosen = {tissue: thresholds(tissue) for tissue in TISSUES}
    lab = {one.tissue: one for one in map(threshold_set, book.settings().thresholds)}
    return chosen | lab | {one.tissue: one for one in map(threshold_set, names)}


def limits_of(book: Book | None) -> dict[str, ThresholdSet]:
    """The lab's thresholds by tissue, the defaults where it has no book yet."""
    return {tissue: thresholds(tissue) for tissue in TISSUES} if book is None else limits_in(book)


def check_settings(found: Settings) -> None:
    """See that the work can go by some settings; raises UnknownNameError or InputError for what is none."""
    for name in found.thresholds:
        threshold_set(name)
    if found.viewing is not None:
        Asked(found.viewing.illuminant, found.viewing.observer)
    wrong = [share for share in found.strengths if not 0.0 < share <= 1.0]
    if wrong or len(found.strengths) > MOST_STRENGTHS:
        raise InputError(
            say(
                "found {n} strengths, expected {most} at most, of 0 to 1",
                n=len(found.strengths),
                most=MOST_STRENGTHS,
            )
        )
    if found.scale_step is not None and not 0.0 < found.scale_step <= MOST_STEP:
        raise InputError(
            say(
                "found a step of {found:g} g, expected above 0 and at most {most:g}",
                found=found.scale_step,
                most=MOST_STEP,
            )
        )


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
