"""What an apprentice painted is recorded with who looked at it before the furnace."""

from __future__ import annotations

from stainbook.book import Book
from stainbook.errors import InputError
from stainbook.kept import Report
from stainbook.words.apprentice import not_checked
from stainbook.work.reading.lab_settings import is_apprentice

UNCHECKED = "nobody"  # as it is typed where an apprentice's work was fired unseen


def check_apprentice(report: Report, book: Book) -> None:
    """Raises InputError where an apprentice's work went into the furnace and nobody else is named who looked at it.

    Another apprentice, or who painted it, is nobody else.
    """
    firing, settings = report.firing, book.settings()
    painted = any(zone.layers for zone in report.zones)
    looked = firing.checked_by if firing.checked_by != firing.operator else None
    checked = looked and not is_apprentice(settings, looked)
    if painted and not checked and is_apprentice(settings, firing.operator):
        raise InputError(not_checked(str(firing.operator)))
