"""Whose numbers are told to whom: each technician sees their own, a lead all where the lab switched that on.

Who asks is the author that the Settings page or ``STAINBOOK_AUTHOR`` names. That is a custom of the house and no lock:
whoever can open the book can read what it holds. On a lab's server it is who signed in, and a lead by their role.
"""

from __future__ import annotations

from dataclasses import dataclass

from stainbook.book import Book
from stainbook.language import say
from stainbook.permit import LEAD

LEAST_UNITS = 20  # below which no figure is told: it would speak of persons, and of chance
FEW = say("Of fewer than {n} units no figure is told: they say more of chance than of work.", n=LEAST_UNITS)
NOT_NAMED = say(
    "Nobody is named who asks, so no technician's numbers are told. Settings and STAINBOOK_AUTHOR name you."
)


@dataclass(frozen=True, slots=True)
class WhoseNumbers:
    """Whose numbers are told: ``all`` of them, or those of ``own`` alone."""

    all: bool
    own: str | None

    def tells(self, technician: str) -> bool:
        """Whether somebody's numbers are told."""
        return self.all or technician == self.own

    @property
    def note(self) -> str | None:
        """Why others are not told; None where all are."""
        if self.all:
            return None
        return NOT_NAMED if self.own is None else say("Of technicians only {name} is told.", name=self.own)


def seen_by_author(book: Book) -> WhoseNumbers:
    """What whoever opened the book is told."""
    settings, asks = book.settings(), book.author
    leads = asks in (settings.leads or ()) if book.permit is None else book.permit.allows(LEAD)
    lead = leads and bool(settings.lead_sees_all)
    return WhoseNumbers(lead, asks if asks in book.operators() else None)
