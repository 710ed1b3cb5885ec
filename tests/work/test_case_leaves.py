"""Any case that a user may have leaves its book as a bundle, and is the same case in another one."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from stainbook.book import Book, open_book
from stainbook.book.marks import case_mark
from stainbook.errors import InputError
from stainbook.kept import StepDone
from stainbook.records import (
    EFFECTS,
    FINISHES,
    STAGES,
    Blank,
    Case,
    CaseZone,
    Effect,
    LabRef,
    Later,
    Limits,
    Pot,
    Reading,
    SampleRef,
    TabRef,
    Target,
    Viewing,
)
from stainbook.work.app.demo import make_demo_book
from stainbook.work.case.case_edits import with_zones
from stainbook.work.case.current_case import known_case
from stainbook.work.case.open_case import open_as, store_wish
from stainbook.work.lab import exchange_desk as desk
from stainbook.work.reading.dropped import Dropped
from tests.files.test_plain_yaml import NAME

NOTE = st.text(st.characters(exclude_categories=["Cs", "Cc", "Cf", "Co", "Zl", "Zp"], include_characters="\n"))
SHARE = st.floats(1e-9, 1.0) | st.sampled_from([1 / 3, 1 / 7, 0.1])
MM = st.floats(0.1, 15.0)
LAB = st.tuples(st.floats(0.0, 108.0), st.floats(-200.0, 200.0), st.floats(-200.0, 200.0))
VIEWING = st.sampled_from([Viewing("D65", 2), Viewing("A", 10), Viewing("unknown", 0), Viewing("D50", 0)])
COLOUR = st.builds(LabRef, LAB, VIEWING)
SAMPLE = st.builds(SampleRef, NAME, stage=st.sampled_from([None, "blasted", "glazed"]))
SHIFTS = st.dictionaries(st.sampled_from(["L", "a", "b", "C", "h"]), st.floats(-9.0, 9.0).filter(bool)).map(
    lambda found: tuple(sorted(found.items(), key=lambda one: "LabCh".index(one[0])))
)
TARGET = st.builds(Target, st.builds(TabRef, NAME, NAME) | COLOUR | SAMPLE, SHIFTS)
POT = st.dictionaries(NAME, SHARE.map(lambda share: share / 4), max_size=3).map(Pot.of)
PLACES = (
    (11, "cervical", "tooth"),
    (21, "papilla", "gingiva"),
    (11, "Own place", "gingiva"),
    (36, "occlusal", "tooth"),
)
COUNT = st.none() | st.integers(1, 6)
SHARES = st.sets(SHARE, min_size=1, max_size=5).map(sorted).map(tuple)
STAINS = st.none() | st.lists(NAME, max_size=3).map(tuple)
LIMITS = st.builds(
    Limits, st.integers(0, 20), st.integers(1, 6), st.integers(1, 20), COUNT, SHARES, STAINS, COUNT, COUNT.filter(
        lambda one: one is None or one <= 5
    ), later=st.none() | st.builds(Later, COUNT, COUNT, COUNT, st.none() | SHARES, STAINS),
)  # fmt: skip
_codes = itertools.count(1)


@st.composite
def zones(draw: st.DrawFn, now: st.SearchStrategy) -> tuple[CaseZone, ...]:
    """Some zones, the first one read; a later one may follow it."""
    found = []
    for tooth, zone, tissue in draw(st.lists(st.sampled_from(PLACES), min_size=1, unique=True)):
        follows = bool(found) and draw(st.booleans())
        more = {"like": found[0].key, "like_spread": draw(st.sampled_from([None, 1.5]))} if follows else {}
        for name, drawn in (
            ("finish", st.sampled_from(["glaze", "polish", "none"])), ("by_hand", st.just(True)),
            ("height_mm", st.floats(0.0, 40.0)), ("piece", NAME), ("thickness_mm", MM), ("read_over", NAME),
            ("seated_on", NAME), ("target", TARGET),
        ):  # fmt: skip
            if draw(st.booleans()):
                more[name] = draw(drawn)
        own = None if follows else draw(st.none() | now)
        found.append(CaseZone(tooth, zone, tissue, own, fired=draw(st.integers(0, 3)), **more))
    return tuple(found)


@st.composite
def cases(draw: st.DrawFn, code: str, stage: str | None) -> Case:
    """A case as a file or the pages may have it."""
    effect = st.builds(
        Effect, st.sampled_from([11, 21]), st.sampled_from(EFFECTS) | NAME, st.none() | NAME, st.none() | POT,
        st.none() | NOTE.filter(str.strip),
    )  # fmt: skip
    layers = st.lists(st.tuples(st.floats(0.0, 40.0), NAME), max_size=2).map(tuple)
    lots = st.dictionaries(NAME, NAME, max_size=2).map(lambda found: tuple(sorted(found.items())))
    text = st.none() | NAME
    return Case(
        code,
        draw(zones(SAMPLE)),
        draw(text),
        stage,
        draw(st.sampled_from(FINISHES)),
        tuple(draw(st.lists(effect, max_size=2))),
        draw(text),
        draw(text),
        draw(lots),
        draw(LIMITS),
        blank=draw(st.none() | st.builds(Blank, NAME, text, layers)),
        lights=draw(st.none() | st.lists(st.sampled_from(["D65", "A", "F11"]), unique=True).map(tuple)),
        ceramic=draw(text),
        read_over=draw(text),
        seated_on=draw(text),
    )


@pytest.fixture(scope="module")
def books(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Book, Book]]:
    folder = tmp_path_factory.mktemp("leaving")
    with open_book(f"sqlite:///{folder}/one.db") as one, open_book(f"sqlite:///{folder}/two.db") as two:
        yield one, two


def taken(books: tuple[Book, Book], code: str) -> None:
    """A case goes from one book to the other, and is the same there."""
    one, two = books
    data = desk.packed_case(one, code)
    done = desk.take_in(two, Dropped("case.zip", data), [])
    assert {item.status for item in done.items if item.kind != "reading"} <= {"new"}
    assert case_mark(known_case(one, code).state) == case_mark(known_case(two, code).state)
    again = desk.preview(two, Dropped("case.zip", data))
    assert [item for item in again if item.status != "same"] == []


@settings(
    max_examples=15, deadline=None, derandomize=True, phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck), report_multiple_bugs=False,
)  # fmt: skip
@given(st.data())
def test_any_case_leaves(books, data) -> None:
    code = f"W-{next(_codes)}"
    first = data.draw(cases(code, data.draw(st.sampled_from([None, *STAGES]))))
    with books[0].transaction() as step:
        open_as(step, first)
    if data.draw(st.booleans()):  # another wish, after something happened
        did = data.draw(st.sampled_from(["dried", "cleaned", "polished"]))
        books[0].add_steps([StepDone(code, did, "2026-03-02T08:00:00Z")])
        store_wish(books[0], known_case(books[0], code), replace(data.draw(cases(code, None)), zones=first.zones))
    taken(books, code)


def test_the_cases_of_the_demonstration_leave(tmp_path) -> None:
    with open_book(make_demo_book(tmp_path)) as book, open_book(f"sqlite:///{tmp_path}/two.db") as other:
        for code in ("W-1042", "W-1051", "W-1063", "W-0971"):
            taken((book, other), code)


def test_a_green_piece_that_is_read_under_another_name_leaves(books) -> None:
    code = f"W-{next(_codes)}"
    with books[0].transaction() as step:
        open_as(step, Case(code, (CaseZone(11, "middle", "tooth"),), stage="green"))
        step.add_steps([StepDone(code, "sintered", "2026-03-02T08:00:00Z")])
        step.add_readings(
            [Reading("front one", lab=(75.0, 1.0, 15.0), viewing=Viewing(), taken_at="2026-03-02T09:00:00Z")]
        )
    read = Case(code, (CaseZone(11, "middle", "tooth", SampleRef("front one")),), stage="sintered")
    store_wish(books[0], known_case(books[0], code), read)
    taken(books, code)


def test_a_papilla_that_an_older_book_named_twice_leaves(books) -> None:
    code = f"W-{next(_codes)}"
    with books[0].transaction() as step:
        open_as(step, Case(code, tuple(CaseZone(tooth, "papilla", "gingiva") for tooth in (11, 21))))
    taken(books, code)


def test_readings_of_a_case_with_a_longer_code_stay(books) -> None:
    book = books[0]
    with book.transaction() as step:
        for code in ("V-1", "V-1-2"):
            open_as(step, Case(code, (CaseZone(11, "middle", "tooth"),)))
            step.add_readings([Reading(f"{code}-11-middle", lab=(75.0, 1.0, 15.0), viewing=Viewing())])
    assert [one.sample for one in desk.content_of_case(book, "V-1").readings] == ["V-1-11-middle"]


def test_the_papilla_between_the_front_teeth_is_added_once() -> None:
    case = Case("W-1", (CaseZone(11, "papilla", "gingiva"),))
    with pytest.raises(InputError, match="no zone that the case has not"):
        with_zones(case, [21], ["papilla"])
    added = with_zones(replace(case, zones=(CaseZone(11, "middle", "tooth"),)), [11, 21], ["papilla"])
    assert [zone.key for zone in added.zones] == [(11, "middle"), (11, "papilla")]
