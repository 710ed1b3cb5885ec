"""That a chance is held back while the control plate is out: said in one place for commands, pages and sheets."""

from __future__ import annotations

from collections.abc import Sequence

from stainbook.language import joined, say

HELD_BACK = say("chance held back: control plate out")
ALL_HELD_BACK = say("Chances are held back while the control plate is out.")


def out_of_control(chip: str, instrument: str | None, since: str, signals: Sequence[str]) -> str:
    """Why no chance is told, and what to do.

    >>> out_of_control("weekly", "bench", "2026-11-20", ["L* beyond 3.3 sigma"])
    'chances are held back: the control plate weekly is out since 2026-11-20 (L* beyond 3.3 sigma), and zones were \
read by bench since; calibrate it, read the plate again, then these zones'
    """
    return say(
        "chances are held back: the control plate {chip} is out since {since} ({signals}), and zones were read by "
        "{instrument} since; calibrate it, read the plate again, then these zones",
        chip=chip,
        since=since,
        signals=joined(signals, "; "),
        instrument=instrument or say("the same instrument"),
    )
