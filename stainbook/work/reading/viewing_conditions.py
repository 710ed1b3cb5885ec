"""Under which light and observer colours are computed and compared, and when that is refused."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from stainbook.apparatus import Instrument
from stainbook.colour import illuminant_name
from stainbook.colour.illuminants import checked_observer
from stainbook.errors import ConditionsError, UnknownNameError, message
from stainbook.files import Defaults
from stainbook.language import joined, say
from stainbook.records import UNKNOWN_VIEWING, Reading, Viewing

SPECTRA_SEEN_UNDER = Viewing("D65", 10)  # unless asked otherwise
OWN_SCALE = say("on this instrument's own scale")


@dataclass(frozen=True, slots=True)
class Asked:
    """What the user says of light and observer: for spectra what to compute, for bare L*a*b* what it is.

    Raises UnknownNameError for an illuminant, observer or instrument that is not known.
    """

    illuminant: str | None = None
    observer: int | None = None
    adapt: bool = False  # take L*a*b* alone to another light, with more doubt
    instrument: str | None = None  # that made readings whose file names none
    instruments: Mapping[str, Instrument] = field(default_factory=dict)  # profiles by name
    usual: Viewing = SPECTRA_SEEN_UNDER  # of spectra where nothing was asked

    def __post_init__(self) -> None:
        if self.illuminant is not None:
            object.__setattr__(self, "illuminant", illuminant_name(self.illuminant))  # in one spelling
        if self.observer is not None:
            checked_observer(self.observer)
        if self.instrument is not None and self.instrument not in self.instruments:
            raise UnknownNameError(say("instrument"), self.instrument, self.instruments)

    @property
    def viewing(self) -> Viewing | None:
        """The viewing that results must have, None when nothing was asked."""
        if self.illuminant is None and self.observer is None:
            return None
        return Viewing(self.illuminant or self.usual.illuminant, self.observer or self.usual.observer)

    @property
    def of_bare_lab(self) -> Viewing:
        """The viewing of L*a*b* written without one: as asked, else the named instrument's, else unknown."""
        profile = self.instruments[self.instrument].viewing if self.instrument else UNKNOWN_VIEWING
        return Viewing(self.illuminant or profile.illuminant, self.observer or profile.observer)

    @property
    def defaults(self) -> Defaults:
        """What holds for readings of a file that do not say otherwise; each row's own instrument has its profile."""
        stated = Viewing(self.illuminant or UNKNOWN_VIEWING.illuminant, self.observer or UNKNOWN_VIEWING.observer)
        return Defaults(stated, self.instruments, self.instrument)


def viewing_of(reading: Reading) -> Viewing | None:
    """The light and observer that L*a*b* alone holds under, in one spelling; None for a spectrum.

    Raises UnknownNameError, with the reading's place, for an illuminant that is not in the library.
    """
    if reading.is_spectral or reading.viewing is None:
        return None
    if not reading.viewing.known:
        return UNKNOWN_VIEWING
    try:
        return Viewing(illuminant_name(reading.viewing.illuminant), reading.viewing.observer)
    except UnknownNameError as error:
        error.args = (joined([reading.source, message(error)], ": "),)
        raise


def described(viewing: Viewing) -> str:
    """A viewing in words: ``D65/10°``, or that the scale is the instrument's own."""
    return f"{viewing.illuminant}/{viewing.observer}°" if viewing.known else say("unknown light and observer")


def shared_viewing(sample: Reading, target: Reading, asked: Asked) -> Viewing:
    """The viewing in which two readings can be compared.

    What was asked; else that of the L*a*b* among them, since a spectrum can be computed for any; else the usual one.

    Raises ConditionsError when there is none without adapting, or the scales are two instruments' own.
    """
    own = {side: viewing_of(side) for side in (target, sample)}
    if any(viewing is not None and not viewing.known for viewing in own.values()):
        return _own_scale(sample, target)
    if asked.viewing is not None:
        return asked.viewing
    stated = [viewing for viewing in own.values() if viewing is not None]
    return stated[0] if stated else asked.usual


def _own_scale(sample: Reading, target: Reading) -> Viewing:
    """The unknown viewing, which two readings share only when one instrument made both."""
    views = viewing_of(sample), viewing_of(target)
    if views == (UNKNOWN_VIEWING, UNKNOWN_VIEWING) and sample.instrument == target.instrument:
        return UNKNOWN_VIEWING
    bare = sample if views[0] == UNKNOWN_VIEWING else target
    raise ConditionsError(
        say(
            "{source}: {sample!r} is L*a*b* of unknown light and observer, which compares only with "
            "readings of the same instrument; state them in columns or with --illuminant and --observer",
            source=bare.source,
            sample=bare.sample,
        )
    )
