"""What ``trust`` prints as JSON: chances claimed against what came of them."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from stainbook.work.documents.document_parts import Chance, Difference, Document, Result, Sentence

Count = Annotated[int, Field(ge=0)]


class TrustShare(Result):
    """What was claimed of some zones and what came; null where they are too few to tell.

    ``claimed`` is the mean of their chances to be in tolerance, ``met`` the share that was, ``met_low`` to ``met_high``
    its 95 % interval, wider where zones of one firing erred together. ``inside`` is the share within the radius that
    was to hold 9 in 10, of the ``with_radius`` zones whose claim has one. ``expected`` and ``got`` are mean ΔE00 to the
    target.
    """

    zones: Count
    claimed: Chance | None
    met: Chance | None
    met_low: Chance | None
    met_high: Chance | None
    with_radius: Count = 0
    inside: Chance | None = None
    inside_low: Chance | None = None
    inside_high: Chance | None = None
    expected: Difference | None = None
    got: Difference | None = None


class TrustBin(TrustShare):
    """Zones whose chance was claimed between two values."""

    least: Chance
    most: Chance


class TrustGroup(TrustShare):
    """Zones of one month, stain, programme or technician."""

    by: str
    name: Sentence


class TrustPart(Result):
    """Zones of one kind: all of them, by what was claimed, and by groups; ``why`` says what is not known yet."""

    whole: TrustShare
    firings: Count
    bins: list[TrustBin] = []
    groups: list[TrustGroup] = []
    said: Sentence


class TrustBeside(Result):
    """The hand beside the program's own first step, of zones that were looked on at.

    ``claimed`` and ``expected`` are what the program claimed of its own step, ``met`` and ``got`` what the hand
    reached.
    """

    zones: Count
    claimed: Chance | None
    met: Chance | None
    expected: Difference | None
    got: Difference | None
    said: Sentence


class TrustResult(Document):
    """``stainbook trust``: ``chosen`` were painted as chosen, ``shadow`` by the hand alone while the program looked on.

    ``left_out`` counts zones with a claim that nothing can be said of, by the reason.
    """

    chosen: TrustPart
    shadow: TrustPart | None = None
    beside: TrustBeside | None = None
    left_out: dict[str, int] = {}


COMMANDS: dict[str, type[Document]] = {"trust": TrustResult}
