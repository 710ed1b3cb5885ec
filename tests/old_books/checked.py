"""One set opened with the present program, and all that it tells held against what was told."""

from __future__ import annotations

from tests.old_books import sets
from tests.old_books.compare import differences, judged
from tests.old_books.told import answers, kept

MOST_SHOWN = 30  # differences of a failure; the count is told too


def check(name: str, url: str) -> None:
    """What is told now of a set in the current folder, beside what was told then."""
    then = kept(sets.AS_TOLD_OF.get(name, name), sets.TOLD)
    now = answers(name, sets.opened(name, url))
    if name in sets.AS_TOLD_OF:  # the same book on another way: fewer things are asked of it
        asked = {one.asked for one in now}
        then = [one for one in then if one.asked in asked]
        assert len(then) == len(now)
    found = judged(name, then, differences(name, then, now))
    lines = [str(one) for one in found.unnamed]
    assert not lines, "\n".join([f"{len(lines)} places are told otherwise", *lines[:MOST_SHOWN]])
    assert not found.unused, "named as told differently, and told as ever: " + "\n".join(map(str, found.unused))
