"""Times that lie ahead of this machine's clock: a mistake more often than not, so they are asked about.

A clock of a camera or of another machine may go wrong by minutes or by a time zone; a day is more than both.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from contextvars import ContextVar
from datetime import UTC, datetime, timedelta

from stainbook.errors import AheadError
from stainbook.language import say

MOST_AHEAD = timedelta(days=1)
_meant: ContextVar[bool] = ContextVar("meant", default=False)


@contextlib.contextmanager
def ahead_is_meant() -> Iterator[None]:
    """What is stored inside may carry times ahead: somebody was asked, and said so."""
    token = _meant.set(True)
    try:
        yield
    finally:
        _meant.reset(token)


def check_time(text: str, what: str) -> None:
    """Refuse a time that is more than a day ahead; what is no time in ISO 8601 is let pass.

    Raises AheadError, which names ``what`` has the time.
    """
    try:
        found = datetime.fromisoformat(text)
    except ValueError:
        return
    now = datetime.now(UTC)
    if _meant.get() or (found if found.tzinfo else found.replace(tzinfo=UTC)) <= now + MOST_AHEAD:
        return
    raise AheadError(
        say(
            "{what}: found {time}, more than a day ahead of this machine's clock ({now} UTC), expected a time that has "
            "been; correct it, or the clock, or say --ahead before the command",
            what=what,
            time=text,
            now=now.strftime("%Y-%m-%d %H:%M"),
        )
    )
