"""What a zone's colour rests on."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Protocol

from stainbook.language import joined, say
from stainbook.words.places import by_zone, zone_name
from stainbook.words.times import moment


class Rests(Protocol):
    """What a colour rests on, as documents hold it."""

    @property
    def from_(self) -> str:
        """``read``, ``like``, ``expected``, ``blank`` or ``unknown``."""

    @property
    def of(self) -> str | None:
        """The sample, zone or blank."""

    @property
    def read_at(self) -> str | None:
        """When it was read."""


def rests_on(standing: Rests | None) -> str:
    """What a zone's colour rests on: a reading with its time, another zone, an expectation, a blank, or nothing.

    Parameters
    ----------
    standing : ``from_``, ``of`` and ``read_at`` (ISO 8601) as documents have them; None where nothing is known

    >>> from types import SimpleNamespace
    >>> rests_on(SimpleNamespace(from_="like", of="13 margin", read_at=None))
    'like 13 gum edge'
    >>> rests_on(None)
    'not read'
    """
    if standing is None or standing.from_ == "unknown":
        return say("not read")
    if standing.from_ == "read":
        return say("read {when}", when=moment(standing.read_at)) if standing.read_at else say("read")
    if standing.from_ == "like":
        return say("like {zone}", zone=place_of(standing.of or ""))
    return say("expected, not read") if standing.from_ == "expected" else say("blank {blank}", blank=standing.of)


def eye_decides(keys: Iterable[tuple[int, str]]) -> str:
    """Which zones do not count, since their number is a hint.

    >>> eye_decides([(11, "incisal"), (12, "incisal")])
    'The eye decides, the number is a hint and not counted: incisal 11 12.'
    """
    return say("The eye decides, the number is a hint and not counted: {zones}.", zones=by_zone(keys))


def place_of(key: str) -> str:
    """The words for a zone's key.

    >>> place_of("11 margin")
    '11 gum edge'
    """
    tooth, _, zone = key.partition(" ")
    return joined([tooth, zone_name(zone)], " ") if zone else key
