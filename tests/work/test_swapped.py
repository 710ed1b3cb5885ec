"""Readings under another zone's name are asked about, by both names, and never refused."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from stainbook.book import Book, open_book
from stainbook.faces.case_types import AdviceAsked
from stainbook.files import write_readings
from stainbook.lab import Lab
from stainbook.records import Case, CaseZone, LabRef, Reading, Target, Viewing
from stainbook.work.case import swap_check
from stainbook.work.case.advise import advise_files
from stainbook.work.case.current_case import known_case
from stainbook.work.case.swap_check import asked_of_new
from stainbook.work.firing.record import record_files
from stainbook.work.reading.swapped import ReadAgain, as_of_another, strays, swapped
from tests.work.benches import calibrated, reading
from tests.work.opened import opened

SURE = np.diag([0.01, 0.01, 0.01])
ZONES = [(11, "cervical"), (11, "middle"), (21, "cervical"), (21, "middle")]
HUSK = {(11, "cervical"): 0.1, (11, "middle"): 0.5, (21, "cervical"): 0.15, (21, "middle"): 0.9}


def again(name: str, expected: tuple[float, float, float], read: tuple[float, float, float]) -> ReadAgain:
    return ReadAgain(name, np.array(expected), SURE, np.array(read))


def test_two_that_were_read_as_each_other_are_named_once() -> None:
    zones = [
        again("11 middle", (70, 2, 18), (64, 4, 22)),
        again("21 middle", (64, 4, 22), (70, 2, 18)),
        again("12 middle", (68, 2, 19), (68.2, 2, 19)),
    ]
    (line,) = swapped(zones)
    assert line.startswith("11 middle and 21 middle: were these readings swapped?")


def test_zones_alike_a_firing_too_strong_and_one_wrong_zone_are_not_asked_about() -> None:
    alike = [again("11 middle", (70, 2, 18), (70.3, 2, 18)), again("21 middle", (70.3, 2, 18), (70, 2, 18))]
    strong = [again(f"{n} middle", (70 - n, 2, 18 + n / 2), (66 - n, 3, 20 + n / 2)) for n in range(6)]
    wrong = [again("11 middle", (70, 2, 18), (60, 8, 10)), again("21 middle", (64, 4, 22), (64, 4, 22))]
    assert (swapped(alike), swapped(strong), swapped(wrong)) == ([], [], [])


def test_where_nothing_is_as_expected_nothing_is_asked() -> None:
    zones = [
        again(f"{n} middle", (70 - 2 * (n % 3), 2, 18), (60 + 5 * ((7 * n) % 4), 2 + n, 10 + 3 * (n % 2)))
        for n in range(8)
    ]
    assert swapped(zones) == strays(zones) == []


def test_a_reading_of_another_piece_is_named_with_it() -> None:
    zones = [again(f"1{n} middle", (70 - n, 2, 18), (70.2 - n, 2, 18)) for n in range(1, 5)]
    zones.append(again("21 middle", (70, 2, 18), (61, 5, 24)))
    (stray,) = strays(zones)
    assert stray.name == "21 middle"
    other = again("W-1050 13 middle", (61.2, 5, 24), (61, 5, 24))
    assert as_of_another(stray, [other]).startswith("21 middle: is this a reading of W-1050 13 middle?")
    assert as_of_another(stray, [again("W-1050 12 middle", (50, 5, 24), (61, 5, 24))]) is None


# ---------------------------------------------------------------- on the ways that readings come in


@pytest.fixture(scope="module")
def taught(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("taught")
    with open_book(f"sqlite:///{folder / 'lab.db'}") as book:
        calibrated(book, folder)
        target = Target(LabRef((70.0, 3.0, 8.0), Viewing("D65", 10)))
        zones = tuple(CaseZone(*key, "tooth", target=target) for key in ZONES)
        opened(book, Case("W-1042", zones, "zirconia", "sintered"))
        book.add_readings(read_of(ZONES, day=1))
    return folder / "lab.db"


@pytest.fixture
def book(taught: Path, tmp_path: Path) -> Iterator[Book]:
    (tmp_path / "lab.db").write_bytes(taught.read_bytes())
    with open_book(f"sqlite:///{tmp_path / 'lab.db'}", author="bench-1") as found:
        yield found


def read_of(keys: list[tuple[int, str]], *, day: int) -> list[Reading]:
    """The zones read on a day of March, each as the zone at its place in ``keys`` is."""
    at = f"2026-03-{day:02d}T09:00:00Z"
    return [
        reading(f"W-1042-{zone[0]}-{zone[1]}", husk=HUSK[key], taken_at=at, stage="sintered")
        for zone, key in zip(ZONES, keys, strict=True)
    ]


CROSSED = [ZONES[0], ZONES[3], ZONES[2], ZONES[1]]  # 11 middle and 21 middle


def test_read_asks_and_stores(book: Book, tmp_path: Path) -> None:
    assert asked_of_new(book, read_of(ZONES, day=2)) == []
    write_readings(tmp_path / "again.csv", read_of(CROSSED, day=2))
    lab = Lab.open(tmp_path / "lab.db")
    found = lab.readings.take_in(tmp_path / "again.csv")
    (line,) = [one for one in found.warnings if "swapped" in one]
    assert line.startswith("11 middle and 21 middle")
    assert found.stored == 4


def test_advise_asks_until_it_is_read_again(book: Book) -> None:
    book.add_readings(read_of(CROSSED, day=2))
    asked = [one for one in advise_files(book, ["W-1042"], AdviceAsked()).warnings if "swapped" in one]
    assert len(asked) == 1
    book.add_readings(read_of(CROSSED, day=3))  # the same again: then it is so
    assert not any("swapped" in one for one in advise_files(book, ["W-1042"]).warnings)


def test_record_asks_and_stores(book: Book, tmp_path: Path) -> None:
    keys = [(11, "cervical"), (11, "middle"), (21, "cervical")]
    painted = {keys[0]: ("husk", 0.125), keys[1]: ("husk", 0.75), keys[2]: ("husk", 0.25)}
    came = {keys[0]: {"husk": 0.35}, keys[1]: {"husk": 2.0}, keys[2]: {"husk": 0.65}}
    after = dict(zip(keys, (keys[0], keys[2], keys[1]), strict=True))
    write_readings(tmp_path / "fired.csv", [reading(f"{key[0]}-{key[1]}", **came[after[key]]) for key in keys])
    zones = "".join(
        f"  - {{tooth: {key[0]}, zone: {key[1]}, layers: [{{pot: {{{painted[key][0]}: {painted[key][1]}}}}}], "
        f"after: {{file: fired.csv, sample: {key[0]}-{key[1]}}}}}\n"
        for key in keys
    )
    path = tmp_path / "outcome.yaml"
    path.write_text(f"case: W-1042\noperator: bench-1\nfired_at: 2026-03-04T10:00:00Z\nzones:\n{zones}")
    result = record_files(book, [path])
    (line,) = [one for one in result.warnings if "swapped" in one]
    assert line.startswith("11 middle and 21 cervical")
    assert len(book.outcomes()) == 3


def test_a_zone_of_another_case_is_named(book: Book) -> None:
    opened(book, Case("W-1050", (CaseZone(13, "middle", "tooth"),), "zirconia", "sintered"))
    other = reading("W-1050-13-middle", husk=0.3, teasel=1.5, taken_at="2026-03-01T09:00:00Z", stage="sintered")
    book.add_readings([other])
    new = read_of(ZONES, day=2)
    mixed = reading("W-1042-21-cervical", husk=0.3, teasel=1.5, taken_at="2026-03-02T09:00:00Z", stage="sintered")
    (line,) = asked_of_new(book, [*new[:2], mixed, new[3]])
    assert line.startswith("21 cervical: is this a reading of W-1050 13 middle?")


def test_only_the_pieces_in_hand_last_are_looked_through_and_each_once(
    book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    for number in range(6):
        opened(book, Case(f"W-2{number:03}", (CaseZone(11, "middle", "tooth"),), "zirconia", "sintered"))
    asked: list[str] = []
    monkeypatch.setattr(swap_check, "ON_THE_BENCH", 3)
    monkeypatch.setattr(swap_check, "known_case", lambda found, code: asked.append(code) or known_case(found, code))
    swap_check._of_others(book, "W-1042", Viewing("D65", 10))
    assert asked == ["W-2003", "W-2004", "W-2005"]
