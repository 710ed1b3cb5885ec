"""The comparison of old books can fail: it finds what changed, and lets through what is named, that alone."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.old_books.compare import COMPUTED, ROUNDING, WORKED_OUT, differences, judged
from tests.old_books.told import Answer
from tests.old_books.told_differently import ToldDifferently

ONE = Answer("bench", "V-1", "bench V-1.yaml", 0, {"zones": [{"zone": "cervical", "dE00": 2.5, "next": "leave"}]})


def _changed(**zone: object) -> Answer:
    return _telling(ONE, {"zones": [{**ONE.told["zones"][0], **zone}]})


def _telling(one: Answer, told: object) -> Answer:
    return one._replace(told=told)


@pytest.mark.parametrize(
    ("now", "path"),
    [
        (_changed(dE00=2.5 + 2 * WORKED_OUT), "told.zones[0].dE00"),
        (_changed(next="add"), "told.zones[0].next"),
        (_changed(dE00=None), "told.zones[0].dE00"),
        (_telling(ONE, {"zones": []}), "told.zones.length"),
        (_telling(ONE, {}), "told.zones"),
        (_telling(ONE, "stainbook: no such case"), "told"),
        (ONE._replace(status=2), "status"),
    ],
)
def test_a_change_is_found_where_it_is(now: Answer, path: str) -> None:
    assert [one.path for one in differences("revision-3", [ONE], [now])] == [path]


def test_an_answer_that_is_missing_is_found() -> None:
    (found,) = differences("revision-3", [ONE], [])
    assert (found.asked, found.path, found.now) == (ONE.asked, "", None)


def test_roundings_of_a_machine_and_further_keys_are_no_change() -> None:
    now = _changed(dE00=2.5 + 0.9 * WORKED_OUT, standing={"from": "read"})
    assert differences("revision-3", [ONE], [now]) == []


def test_what_is_stored_is_held_to_its_rounding() -> None:
    then, now = (ONE._replace(command="book show", told={"to_target": 1.0 + apart}) for apart in (0.0, 2 * ROUNDING))
    assert "book show" not in COMPUTED
    assert [one.path for one in differences("revision-3", [then], [now])] == ["told.to_target"]


def test_a_named_difference_is_let_through_and_no_other() -> None:
    named = ToldDifferently("revision-3", "bench", "V-1", "told.zones[*].next", "it was already sintered")
    found = differences("revision-3", [ONE], [_changed(next="add", dE00=3.5)])
    verdict = judged("revision-3", [ONE], found, [named])
    assert [one.path for one in verdict.unnamed] == ["told.zones[0].dE00"]
    assert verdict.unused == []
    assert judged("revision-2", [ONE], [replace(one, set="revision-2") for one in found], [named]).unnamed != []


def test_a_named_difference_that_is_none_is_told() -> None:
    named = ToldDifferently("revision-3", "bench", "*", "told.*", "mended")
    assert judged("revision-3", [ONE], [], [named]).unused == [named]
    assert judged("revision-1", [ONE], [], [named]).unused == []


def test_a_name_for_several_sets_is_told_where_it_is_asked_alone() -> None:
    named = ToldDifferently("*", "bench", "V-1", "told.*", "mended")
    assert judged("postgresql", [ONE], [], [named]).unused == [named]
    assert judged("postgresql", [ONE._replace(command="sheet")], [], [named]).unused == []
