"""Searches give exactly what comparing everything would give."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stainbook.book import Book, open_book
from stainbook.book.search import box
from stainbook.book.wanted import BookQuery
from stainbook.colour import delta_e_2000
from stainbook.errors import InputError
from stainbook.kept import DrawnEffect
from stainbook.records import Stain, Viewing
from tests.book.worked import STRAW_TWICE, case, outcome, recipe

AXIS = st.floats(-110, 110)
COLOUR = st.tuples(st.floats(0, 100), AXIS, AXIS)


@settings(max_examples=400)
@given(COLOUR, st.floats(0.1, 12), st.integers(0, 2**32 - 1))
def test_the_box_holds_every_colour_of_the_ball(colour, radius, seed) -> None:
    found = box(colour, radius)
    if found is None:
        return
    rng = np.random.default_rng(seed)
    others = np.array(colour) + rng.normal(size=(500, 3)) * radius * np.array([2.0, 4.0, 4.0])
    inside = delta_e_2000(others, np.array(colour)) <= radius
    low, high = np.array(found).T
    held = np.all((others >= low) & (others <= high), axis=1)
    assert np.all(held[inside])


def test_the_box_is_near_the_ball_for_tooth_colours() -> None:
    sides = [high - low for low, high in box((72.0, 1.0, 18.0), 2.0)]
    assert max(sides) < 8.5  # ΔE00 2 spans 5.3 L*, 3.8 a*, 7.3 b* here


@pytest.fixture(scope="module")
def cloud() -> list:
    rng = np.random.default_rng(20261125)
    colours = rng.normal(size=(300, 3)) * [5.0, 2.0, 4.0] + [72.0, 1.0, 18.0]
    layers = ((), STRAW_TWICE, outcome().layers)
    return [
        outcome(f"W-{n}", lab=tuple(map(float, lab)), layers=layers[n % 3], note="thin" if n % 7 == 0 else None)
        for n, lab in enumerate(colours)
    ]


@pytest.mark.parametrize("limit", [5, 400])
@pytest.mark.parametrize("radius", [0.7, 2.0, 5.0, 40.0])
def test_nearest_first_and_none_missed(book: Book, cloud: list, radius: float, limit: int) -> None:
    book.add_outcomes(cloud)
    wanted = (71.0, 1.5, 19.0)
    for conditions in ((), (("stain", "straw"),), (("stain", "husk"), ("word", "Thin"))):
        chosen = [
            one
            for one in cloud
            if (("stain", "straw") not in conditions or one.layers == STRAW_TWICE)
            and (("stain", "husk") not in conditions or one.layers == outcome().layers)
            and (("word", "Thin") not in conditions or one.note)
        ]
        apart = delta_e_2000(np.array([one.got.lab for one in chosen]), np.array(wanted))
        expected = sorted(float(d) for d in apart if d <= radius)[:limit]
        hits = book.search(BookQuery(wanted, radius, conditions=conditions, limit=limit))
        assert [hit.dE00 for hit in hits] == pytest.approx(expected, abs=1e-12)


def test_without_a_colour_the_newest_comes_first(book: Book) -> None:
    book.add_stains([Stain("husk", lot="24-117", notes="fires warm")])
    book.add_cases([case()])
    book.add_outcomes([outcome(), outcome(tooth=21, layers=STRAW_TWICE)])
    book.revise_recipe(recipe())
    for conditions, kinds in [
        ([("lot", "24-117")], ["recipe", "outcome", "stain"]),
        ([("material", "zirconia")], ["recipe", "outcome", "outcome", "case"]),
        ([("material", "zirconia"), ("stain", "husk")], ["recipe", "outcome"]),
        ([("state", "draft")], ["recipe"]),
        ([("word", "WARM")], ["recipe", "stain"]),
        ([("word", "cold")], []),
    ]:
        hits = book.search(BookQuery(conditions=tuple(conditions)))
        assert [hit.entered.kind for hit in hits] == kinds


def test_a_recipe_is_found_by_what_is_drawn_upon_it(book: Book) -> None:
    book.revise_recipe(recipe(effects=(DrawnEffect("craze line", note="hairline, off centre"),)))
    book.revise_recipe(recipe("cold neck"))
    hits = book.search(BookQuery(conditions=(("word", "hairline"),)))
    assert [hit.entered.record.effects for hit in hits] == [(DrawnEffect("craze line", note="hairline, off centre"),)]


def test_only_what_holds_now_is_found(book: Book) -> None:
    book.revise_recipe(recipe())
    book.revise_recipe(recipe(state="approved", target=None))
    assert book.search(BookQuery(conditions=(("state", "draft"),))) == ()
    assert book.search(BookQuery((71.0, 2.0, 20.0))) == ()
    (hit,) = book.search(BookQuery(conditions=(("state", "approved"),)))
    assert hit.entered.revision == 2
    book.add_outcomes([outcome()])
    book.take_back(outcome(), why="another piece was read")
    assert book.search(BookQuery(conditions=(("kind", "outcome"),))) == ()


def test_colours_of_another_light_are_not_mixed_in(book: Book) -> None:
    book.add_outcomes([outcome()])
    assert len(book.search(BookQuery((72.0, 1.0, 18.0)))) == 1
    assert book.search(BookQuery((72.0, 1.0, 18.0), viewing=Viewing("D65", 2))) == ()


def test_what_another_lab_shares_is_found_once(book_url: str) -> None:
    with open_book(book_url, lab="north") as north, open_book(book_url, lab="south") as south:
        north.add_outcomes([outcome(), outcome(tooth=21)])
        north.share("outcome", outcome().outcome)
        wanted = BookQuery((72.0, 1.0, 18.0))
        assert [len(one.search(wanted)) for one in (north, south)] == [2, 1]
        assert len(south.search(BookQuery(conditions=(("stain", "husk"),)))) == 1
        north.share("outcome", outcome().outcome, shared=False)
        assert south.search(wanted) == ()


@pytest.mark.parametrize("asked", [{}, {"colour": (70, 0, 0), "radius": 0}, {"colour": (70, 0, 0), "limit": 0}])
def test_what_cannot_be_looked_for_is_told(asked: dict) -> None:
    with pytest.raises(InputError, match="expected"):
        BookQuery(**asked)


def test_a_book_of_before_is_searched_as_one_of_now(book_url: str, cloud: list) -> None:
    """Revision 0002 kept what searches run on in plain rows; it is packed on opening."""
    from sqlalchemy import create_engine, text

    with open_book(book_url) as book:
        book.add_outcomes(cloud[:60])
        wanted = BookQuery((71.0, 1.5, 19.0), 5.0, conditions=(("stain", "straw"),))
        before = [(hit.entered.name, hit.dE00) for hit in book.search(wanted)]
    engine = create_engine(book_url)
    with engine.begin() as connection:
        for statement in (
            "DROP TABLE terms",
            "DROP TABLE colours",
            "CREATE TABLE terms (term BIGINT, record BIGINT, PRIMARY KEY (term, record))",
            "CREATE TABLE colours (space BIGINT, cell BIGINT, record BIGINT, PRIMARY KEY (space, cell, record))",
            "UPDATE stainbook_revision SET version_num = '0002'",
        ):
            connection.execute(text(statement))
    engine.dispose()
    with open_book(book_url) as book:
        assert [(hit.entered.name, hit.dE00) for hit in book.search(wanted)] == before
        assert before
        assert book.verify().faults == ()
