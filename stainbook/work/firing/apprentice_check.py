"""What an apprentice painted is recorded with who looked at it before the furnace."""

from __future__ import annotations

from stainbook.book import Book
from stainbook.errors import InputError
from stainbook.kept import Report
from stainbook.words.apprentice import not_checked
from stainbook.work.reading.lab_settings import is_apprentice


def check_apprentice(report: Report, book: Book) -> None:
    """Raises InputError where an apprentice's work went into the furnace and nobody is named who looked at it."""
    firing = report.firing
    painted = any(zone.layers for zone in report.zones)
    if painted and not firing.checked_by and is_apprentice(book.settings(), firing.operator):
        raise InputError(not_checked(str(firing.operator)))
