"""Searches give exactly what comparing everything would give."""

from __future__ import annotations

import numpy as np
import pytest

from stainbook.book import Book, open_book
from stainbook.book.wanted import BookQuery
from stainbook.colour import delta_e_2000
from stainbook.errors import InputError
from stainbook.kept import DrawnEffect
from stainbook.records import Stain, Viewing
from tests.book.worked import TEASEL_TWICE, case, outcome, recipe


@pytest.fixture(scope="module")
def cloud() -> list:
    rng = np.random.default_rng(20261125)
    colours = rng.normal(size=(300, 3)) * [5.0, 2.0, 4.0] + [72.0, 1.0, 18.0]
    layers = ((), TEASEL_TWICE, outcome().layers)
    return [
        outcome(f"W-{n}", lab=tuple(map(float, lab)), layers=layers[n % 3], note="thin" if n % 7 == 0 else None)
        for n, lab in enumerate(colours)
    ]


@pytest.mark.parametrize("limit", [5, 400])
@pytest.mark.parametrize("radius", [0.7, 2.0, 5.0, 40.0])
def test_nearest_first_and_none_missed(book: Book, cloud: list, radius: float, limit: int) -> None:
    book.add_outcomes(cloud)
    wanted = (71.0, 1.5, 19.0)
    for conditions in ((), (("stain", "teasel"),), (("stain", "husk"), ("word", "Thin"))):
        chosen = [
            one
            for one in cloud
            if (("stain", "teasel") not in conditions or one.layers == TEASEL_TWICE)
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
    book.add_outcomes([outcome(), outcome(tooth=21, layers=TEASEL_TWICE)])
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
