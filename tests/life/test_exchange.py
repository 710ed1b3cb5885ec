"""A case is the same case after export and import: with its history, and as readable files alone."""

from __future__ import annotations

from pathlib import Path

import pytest

from stainbook.book import open_book
from stainbook.book.case_state import CaseState
from stainbook.book.fold import fold
from stainbook.book.marks import zone_mark
from tests.life.bench import Bench, fired_zone, zone

KEYS = ((11, "cervical"), (11, "middle"), (21, "cervical"))
TARGET, NOW = (70.6, 1.9, 17.2), (75.5, 0.8, 13.5)
LAYERS = [{"pot": {"husk": 0.25}, "coats": 1}]


def state_of(url: str, code: str) -> CaseState:
    with open_book(url) as book:
        return fold(book.events(code))


def said(state: CaseState) -> dict:
    """What is told of a state, without the names of its rows."""
    return {
        "stage": state.stage,
        "left": state.firings_left,
        "accepted": state.accepted_by,
        "returned": state.returned,
        "zones": {key: (one.layers, one.firings, one.read, one.unfired) for key, one in state.zones.items()},
        "marks": {key: zone_mark(state, key) for key in state.zones},
    }


@pytest.mark.parametrize("history", [True, False])
def test_a_case_is_the_same_after_export_and_import(bench: Bench, tmp_path: Path, history: bool) -> None:
    bench.open("W-1", [zone(*key, now=NOW, target=TARGET) for key in KEYS], stage="sintered")
    bench.json("case", "did", "W-1", "blasted", "--at", bench.at("07:00"))
    after = {"L": 72.0, "a": 1.5, "b": 16.0, "illuminant": "D65", "observer": 10}
    bench.record("W-1", [fired_zone(KEYS[0], LAYERS, after), fired_zone(KEYS[1], LAYERS)])
    bench.record("W-1", hour="12:00", firing="glaze")
    bench.json("book", "accept", "W-1", "--by", "lab")
    bench.run("book", "export", "out", *([] if history else ["--no-history"]))
    other = Bench(bench.folder, f"sqlite:///{tmp_path / 'other.db'}")
    other.run("book", "import", "out")
    before, found = said(state_of(bench.url, "W-1")), said(state_of(other.url, "W-1"))
    assert found["stage"] == "glazed"
    assert found == before
    other.run("book", "import", "out")
    assert said(state_of(other.url, "W-1")) == before
