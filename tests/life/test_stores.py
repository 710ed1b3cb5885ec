"""The first law on each store: histories written row by row, exported and taken in, are folded to the same state."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from stainbook.book import Book, access, open_book
from stainbook.book.case_state import CaseState
from stainbook.book.events import Event, painted_zones
from stainbook.book.fold import fold
from stainbook.book.marks import case_mark, zone_mark
from stainbook.kept import Choice, Firing, Outcome, Painted, StepDone
from stainbook.records import Case, Reading, Stain
from stainbook.work.case.open_case import wish_of
from stainbook.work.lab.exchange import export, import_
from tests.life.histories import CODE, KEYS, LIQUIDS, STAINS, histories

TISSUES = {key: "gingiva" if key[1] == "attached" else "tooth" for key in KEYS}


def said(state: CaseState) -> dict:
    """What is told of a state, without the names of its rows."""
    return {
        "stage": state.stage,
        "left": state.firings_left,
        "accepted": state.accepted_by,
        "returned": state.returned,
        "out": state.out,
        "zones": {key: (one.soaked, one.unfired, one.firings, one.lost) for key, one in state.zones.items()},
        "fired": {key: [(one.at, one.kind, one.aged) for one in zone.fired] for key, zone in state.zones.items()},
        "read": {key: [one.lab for one in zone.read] for key, zone in state.zones.items()},
        "chosen": {key: one.choice.layers for key, one in state.chosen.items()},
        "kinds": [kind for kind, _ in state.heats],
    }


def told(book: Book, events: Iterable[Event], code: str) -> None:
    """Each event as the row that a bench would have stored of it, when the history says so: a wish is of its time."""
    for event in events:

        class Then(datetime):
            at = datetime.fromisoformat(event.told_at)

            @classmethod
            def now(cls, tz: object = None) -> datetime:  # type: ignore[override]
                return cls.at

        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(access, "datetime", Then)
            _stored(book, event, code)


def _stored(book: Book, event: Event, code: str) -> None:
    one = event.told
    if event.what == "opened":
        book.add_cases([wish_of(replace(one, case=code))])
        book.add_steps([StepDone(code, "opened", event.at, stage=event.kind)])
    elif isinstance(one, Case):
        book.add_cases([replace(one, case=code)])
    elif isinstance(one, StepDone):
        book.add_steps([replace(one, case=code, painted=painted_zones(event.zones))])
    elif isinstance(one, Reading):
        book.add_readings([replace(one, sample=one.sample.replace(CODE, code, 1))])
    elif isinstance(one, Choice):
        book.add_choices([replace(one, case=code)])
    elif isinstance(one, Firing):
        zones = [(zone.key, zone.layers) for zone in event.zones]
        book.add_outcomes([Outcome(code, *key, TISSUES[key], one.fired_at, layers) for key, layers in zones])
        book.add_firings([replace(one, case=code)])
    else:
        book.add_painted(Painted(code, event.at, painted_zones(event.zones)))


@settings(
    max_examples=30, deadline=None, phases=[Phase.generate], suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(st.data())
def _lived(book: Book, lived: dict[str, dict], data: st.DataObject) -> None:
    code = f"W-{len(lived) + 1:03}"
    events = data.draw(histories())
    told(book, events, code)
    lived[code] = said(fold(events))
    assert said(fold(book.events(code))) == lived[code]


def test_law_1_thirty_histories_are_the_same_case_in_the_store_and_after_export_and_import(
    book_url: str, tmp_path: Path
) -> None:
    lived: dict[str, dict] = {}
    with open_book(book_url) as book, open_book(f"sqlite:///{tmp_path / 'other.db'}") as other:
        kinds = [Stain(name, kind="infiltrating") for name in LIQUIDS] + [Stain(name) for name in STAINS]
        book.add_stains(kinds)
        _lived(book, lived)
        assert len(lived) >= 30
        for history in (True, False):
            out = tmp_path / f"out-{history}"
            export(book, out, history=history)
            import_(other, out)
        assert {code: said(fold(other.events(code))) for code in lived} == lived
        assert [marks_of(other, code) for code in lived] == [marks_of(book, code) for code in lived]
        assert book.case_ids().keys() == lived.keys()


def marks_of(book: Book, code: str) -> tuple[str, ...]:
    """The marks of a case and of its zones."""
    state = fold(book.events(code))
    return case_mark(state), *(zone_mark(state, key) for key in KEYS)
