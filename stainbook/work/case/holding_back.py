"""The zones that hold a planned case back, and what would help each."""

from __future__ import annotations

from stainbook.language import say
from stainbook.match.plan import Plan, ZonePlan
from stainbook.match.verdict import GOOD_ENOUGH
from stainbook.work.case.problems import PreparedCase
from stainbook.work.documents.plan_schemas import HoldingBack

NAMED = 2
WORTH_IT = 0.1  # chance that something must bring to be named
READ_IT = say("read it: it was not read itself")
OTHER_BLANK = say("another blank, or a wish that stain can reach")
SECOND_FIRING, OWN_MIX = say("a second firing"), say("a mix of its own")
BY_EYE = say("look at it by eye after the firing")


def holding_back(plan: Plan, ready: PreparedCase) -> list[HoldingBack]:
    """The least likely zones, least first; none that is sure enough."""
    bases = {one.zone.key: one.standing.basis for one in ready.zones if one.standing is not None}
    unsure = sorted(
        (one for one in plan.zones if one.counts and one.move.in_the_end < GOOD_ENOUGH),
        key=lambda one: one.move.in_the_end,
    )
    return [
        HoldingBack(
            tooth=one.key[0], zone=one.key[1], accept=one.move.in_the_end, helps=_helps(one, bases.get(one.key))
        )
        for one in unsure[:NAMED]
    ]


def _helps(zone: ZonePlan, basis: str | None) -> str:
    if basis in ("like", "expected"):
        return READ_IT
    if zone.verdict == "out of reach":
        return OTHER_BLANK
    now = zone.move.in_the_end
    gains = {SECOND_FIRING: zone.move.accept_within - now, OWN_MIX: zone.best - now}
    best = max(gains, key=lambda one: gains[one])
    return best if gains[best] >= WORTH_IT else BY_EYE
