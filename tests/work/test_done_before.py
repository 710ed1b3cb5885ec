"""Done last time: near this target, from this start, of this tissue and ceramic."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from stainbook.book import Book, open_book
from stainbook.kept import Conditions, LabRecipe, Outcome
from stainbook.records import LabRef, Layer, Pot, Reading
from stainbook.work.documents.schemas import ColourResult
from stainbook.work.lab.done_before import SoughtZone, done_before
from tests.work.test_tray import SEEN

LAYERS = (Layer(Pot.of({"husk": 0.25}), 2),)
GOT = LabRef((70.0, 2.0, 18.0), SEEN)
BEFORE = Reading("x", lab=(75.0, 0.0, 12.0), viewing=SEEN)
ONE = Outcome(
    "W-1", 11, "cervical", "tooth", "2026-03-01T09:00:00Z", LAYERS, before=BEFORE, got=GOT, material="zirconia"
)
HERE = SoughtZone(
    ColourResult(L=75.5, a=0.2, b=12.3, illuminant="D65", observer=10),
    ColourResult(L=70.2, a=2.0, b=18.2, illuminant="D65", observer=10), "tooth", "zirconia",
)  # fmt: skip


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}", author="bench-1") as opened:
        opened.add_outcomes(
            [
                replace(ONE, after=replace(BEFORE, lab=(70.0, 2.0, 18.0))),
                replace(ONE, case="W-2", before=replace(BEFORE, lab=(85.0, 0.0, 5.0))),  # began elsewhere
                replace(ONE, case="W-3", tissue="gingiva", zone="attached"),
                replace(ONE, case="W-4", material="lithium disilicate"),
                replace(ONE, case="W-5", got=LabRef((60.0, 2.0, 18.0), SEEN)),  # went elsewhere
                replace(ONE, case="W-6", before=None),
                replace(ONE, case="W-7", layers=()),
            ]
        )
        for name, state, where in (
            ("neck", "approved", Conditions(zone="cervical")), ("old neck", "retired", Conditions()),
            ("gum", "approved", Conditions(zone="attached")), ("other", "tried", Conditions(material="glass")),
        ):  # fmt: skip
            opened.revise_recipe(LabRecipe(name, LAYERS, state, where, target=GOT))
        yield opened


def test_only_what_is_alike_in_target_start_tissue_and_ceramic(book: Book) -> None:
    found = {one.found.called: one for one in done_before(book, HERE)}
    assert sorted(found) == ["W-1 11 cervical, 2026-03-01", "neck"]
    outcome = found["W-1 11 cervical, 2026-03-01"]
    assert outcome.layers == LAYERS
    assert outcome.start == pytest.approx(0.6, abs=0.3)
    assert outcome.found.dE00 == pytest.approx(0.2, abs=0.2)
    assert found["neck"].start is None


def test_a_start_that_nobody_can_compare_is_none(book: Book) -> None:
    dark = replace(HERE, now=HERE.now.model_copy(update={"illuminant": "A"}))
    assert [one.found.kind for one in done_before(book, dark)] == ["recipe"]
