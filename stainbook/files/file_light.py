"""Under which light L*, a*, b* of a file hold: as its rows say, its instrument's profile, the caller, the format."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from stainbook.apparatus import Instrument
from stainbook.records import UNKNOWN_VIEWING, Reading, Viewing

UNSTATED = Viewing("", -1)  # while a file is read: neither stated nor said to be unknown
_FROM_PROFILE = ("geometry", "specular", "aperture_mm", "backing")


@dataclass(frozen=True, slots=True)
class Defaults:
    """What holds for readings that do not say otherwise.

    viewing : of L*, a*, b*, from the command line
    instruments : profiles by name, looked up only when a row needs one
    instrument : the name that holds for rows that name none
    """

    viewing: Viewing = UNKNOWN_VIEWING
    instruments: Mapping[str, Instrument] = field(default_factory=dict)
    instrument: str | None = None

    def fill(self, reading: Reading, standard: Viewing = UNKNOWN_VIEWING) -> Reading:
        """The reading with what it left open; ``standard`` is the viewing that its file format means."""
        named = reading.instrument or self.instrument
        profile = self.instruments.get(named) if named else None
        own: dict[str, Any] = {} if named == reading.instrument else {"instrument": named}
        own |= {name: getattr(profile, name) for name in _FROM_PROFILE if profile and getattr(reading, name) is None}
        if reading.viewing is not None:
            settled = (reading.viewing, profile.viewing if profile else UNSTATED, self.viewing, standard)
            viewing = _first_stated(settled)
            own |= {} if viewing == reading.viewing else {"viewing": viewing}
        return replace(reading, **own) if own else reading  # most rows of a long file need none


def _first_stated(viewings: tuple[Viewing, ...]) -> Viewing:
    """Illuminant and observer, each the first that says something; ``unknown`` written in a row stays."""
    own, *others = viewings
    illuminant = own.illuminant or next(
        (v.illuminant for v in others if v.illuminant not in ("", "unknown")), "unknown"
    )
    observer = next((v.observer for v in others if v.observer > 0), 0) if own.observer < 0 else own.observer
    return Viewing(illuminant, observer)
