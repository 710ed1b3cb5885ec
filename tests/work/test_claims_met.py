"""What chances were worth: claims that were stored before a firing against what came out of it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from stainbook.book import open_book
from stainbook.errors import InputError
from stainbook.kept import Beside, Claim, Decision, Operator, Outcome, Settings
from stainbook.records import Case, CaseZone, LabRef, Layer, Pot, Reading, Viewing
from stainbook.work.lab.claims_met import trust

SEEN = Viewing("D65", 10)
HUSK = (Layer(Pot.of({"husk": 0.25})),)


def zone(number: int, *, accept: float | None, got: float, claim: bool = True, **more: object) -> Outcome:
    """A zone whose claim was made for ΔE00 0 and that came out ``got`` in L* off."""
    came = LabRef((70.0 + got, 2.0, 15.0), SEEN)
    claimed = Claim(LabRef((70.0, 2.0, 15.0), SEEN), 0.8, 0.2, 1.5, 1.5, accept, accept, shown=True)
    firing = number // 4
    return replace(
        Outcome(
            case=f"W-{firing}",
            tooth=11 + number % 4,
            zone="middle",
            tissue="tooth",
            fired_at=f"2026-{1 + firing % 6:02d}-02T10:40:00Z",
            layers=HUSK,
            after=Reading(f"W-{firing}-{number}", lab=came.lab, viewing=SEEN),
            got=came,
            to_target=abs(got),
            operator="bench-1" if firing % 2 else "bench-2",
            programme="glaze-770",
            claim=claimed if claim else None,
        ),
        **more,
    )


def honest(count: int, seed: int = 7) -> list[Outcome]:
    """Zones that come out in tolerance as often as was claimed."""
    rng = np.random.default_rng(seed)
    chances = rng.uniform(0.3, 1.0, count)
    return [zone(i, accept=float(p), got=1.0 if rng.uniform() < p else 3.0) for i, p in enumerate(chances)]


@pytest.fixture
def book(tmp_path: Path):
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}") as found:
        yield found


def test_few_zones_are_unknown(book) -> None:
    assert trust(book).chosen.said == "Unknown yet: 0 zones painted as chosen and read after, 20 are needed."
    book.add_outcomes(honest(19))
    found = trust(book).chosen
    assert (found.whole.zones, found.whole.met, found.bins) == (19, None, [])
    assert found.said.startswith("Unknown yet: 19 zones")


def test_honest_chances_hold_and_no_bin_is_under_20(book) -> None:
    book.add_outcomes(honest(160))
    book.add_settings(Settings(leads=(book.author,), lead_sees_all=True))
    found = trust(book).chosen
    assert "the chances hold" in found.said
    assert sum(one.zones for one in found.bins) == 160
    assert min(one.zones for one in found.bins) >= 20
    assert len(found.bins) >= 4
    for one in found.bins:
        assert one.least <= one.claimed <= one.most
        assert one.met_low <= one.met <= one.met_high
    assert sum(one.met_low <= one.claimed <= one.met_high for one in found.bins) >= len(found.bins) - 1
    assert found.whole.inside == found.whole.met  # these come out 1 or 3 off, and the radius is 1.5
    assert {one.by for one in found.groups} == {"month", "stain", "programme", "technician"}
    assert {one.name for one in found.groups if one.by == "technician"} == {"bench-1", "bench-2"}


def test_chances_that_are_claimed_too_high_are_told(book) -> None:
    book.add_outcomes([replace(one, claim=replace(one.claim, accept=0.97)) for one in honest(120)])
    found = trust(book).chosen
    assert "the chances are claimed too high" in found.said
    assert "it is too small" in found.said
    assert len(found.bins) == 1


def test_zones_that_err_together_tell_less(book, tmp_path: Path) -> None:
    book.add_outcomes([zone(i, accept=0.6, got=3.0 if i // 4 % 5 < 2 else 1.0) for i in range(120)])
    together = trust(book).chosen.whole
    with open_book(f"sqlite:///{tmp_path / 'apart.db'}") as other:
        other.add_outcomes([zone(4 * i, accept=0.6, got=3.0 if i % 5 < 2 else 1.0) for i in range(120)])
        apart = trust(other).chosen.whole
    assert together.met == apart.met == 0.6
    assert together.met_high - together.met_low > 1.7 * (apart.met_high - apart.met_low)


def test_what_cannot_be_judged_is_counted_by_its_reason(book) -> None:
    book.add_cases([Case("W-3", (CaseZone(11, "middle", "tooth"),), lights=("D65", "A"))])
    told = honest(40)
    told[0] = replace(told[0], after=None, got=None, to_target=None)
    told[1] = replace(told[1], to_target=None)
    told[2] = replace(told[2], got=LabRef((70.0, 2.0, 15.0), Viewing("A", 10)))
    book.add_outcomes(told)
    wrong = told[20]
    book.add_decisions([Decision(wrong.case, wrong.tooth, wrong.zone, wrong.fired_at, "wrong")])
    found = trust(book)
    assert found.left_out == {"lights": 4, "no target": 1, "not read": 1, "other light": 1, "wrong": 1}
    assert found.chosen.whole.zones == 32


def test_technicians_are_told_to_themselves_alone(book) -> None:
    book.add_outcomes(honest(160))
    book.add_operators([Operator("bench-1")])
    for author, names in (("bench-1", {"bench-1"}), ("the lab", set())):
        groups = trust(book.seen_by(author, "")).chosen.groups
        assert {one.name for one in groups if one.by == "technician"} == names


def test_a_zone_without_a_claim_is_none_of_them(book) -> None:
    book.add_outcomes([zone(i, accept=0.5, got=1.0, claim=False) for i in range(30)])
    assert trust(book).chosen.whole.zones == 0


def test_days_narrow_it_and_must_be_days(book) -> None:
    book.add_outcomes(honest(80))
    found = trust(book, since="2026-02-01", until="2026-02-28")
    assert {one.name for one in found.chosen.groups if one.by == "month"} == {"2026-02"}
    with pytest.raises(InputError, match="expected a day"):
        trust(book, since="spring")
    with pytest.raises(InputError, match="earlier day first"):
        trust(book, since="2026-03-01", until="2026-02-01")


def test_what_was_looked_on_at_stands_apart(book) -> None:
    own = Beside("add", HUSK, Claim(dE00=0.7, accept=0.9, shown=False))
    shadow = [replace(one, claim=replace(one.claim, shown=False), beside=own) for one in honest(60)]
    book.add_outcomes(shadow)
    found = trust(book)
    assert found.chosen.whole.zones == 0
    assert found.shadow.whole.zones == 60
    assert found.beside.claimed == pytest.approx(0.9)
    assert found.beside.met == found.shadow.whole.met
    assert "painted by the hand alone" in found.beside.said
