"""``lab.case(code).timeline``: what happened to a case, the newest first, with its photos and notes."""

from __future__ import annotations

from stainbook.faces.lab_view import CaseTopic
from stainbook.work.firing import case_timeline
from stainbook.work.firing.case_timeline import TimelineEntry


class TimelineFace(CaseTopic):
    """The timeline of one case, which is its journal."""

    def all(self) -> tuple[TimelineEntry, ...]:
        """List what happened, the newest first.

        >>> [(one.at, one.kind) for one in lab.case("W-0971").timeline.all()][:2]
        [('2026-02-03T19:30:00Z', 'delivered'), ('2026-02-03T16:05:00Z', 'read')]
        """
        return self._kept("all", lambda: case_timeline.timeline(self._book, self._code))

    def photos(self) -> dict[str, bytes]:
        """Give the small copies of its photos, JPEG, by name.

        >>> lab.case("W-0971").timeline.photos()
        {}
        """
        return self._kept("photos", lambda: {photo.photo: jpeg for photo, jpeg in self._book.photos(self._code)})

    def note(self, text: str) -> None:
        """Add a note; raises InputError for an empty one.

        >>> timeline = lab.case("W-1051").timeline
        >>> timeline.note("asked for a warmer neck")
        >>> timeline.all()[0].note
        'asked for a warmer neck'
        """
        case_timeline.note(self._book, self._code, text)

    def undo_note(self, id: str) -> None:
        """Undo a note, by its ``id``; raises UnknownNameError where the case has no such note.

        >>> timeline = lab.case("W-1051").timeline
        >>> timeline.note("said by mistake")
        >>> timeline.undo_note(timeline.all()[0].id)
        >>> "said by mistake" in [one.note for one in timeline.all()]
        False
        """
        case_timeline.undo_note(self._book, self._code, id)
