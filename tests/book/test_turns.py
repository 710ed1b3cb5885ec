"""Writers take turns lab by lab on PostgreSQL; what is of all labs has the whole database to itself."""

from __future__ import annotations

import os
import threading
from pathlib import Path

import pytest

from stainbook.book import open_book
from stainbook.book.labs_apart import prepare_lab
from stainbook.errors import BookError
from stainbook.records import Stain
from tests.book.apart import two_labs
from tests.book.writer import start

pytestmark = [
    pytest.mark.postgresql,
    pytest.mark.filterwarnings("ignore:This process .* is multi-threaded, use of fork"),
]
STEPS = 8


def test_a_lab_does_not_wait_for_another_labs_turn(postgresql_url: str) -> None:
    with open_book(postgresql_url, lab="north") as north, north.transaction() as step:
        step.add_stains([Stain("husk")])
        with open_book(postgresql_url, lab="south", timeout=0.2) as south:
            assert south.add_stains([Stain("teasel")]) == 1
        with open_book(postgresql_url, lab="north", timeout=0.2) as again, pytest.raises(BookError, match="is busy"):
            again.add_stains([Stain("teasel")])
    with open_book(postgresql_url, lab="north") as north:
        assert (list(north.stains()), north.verify().faults) == (["husk"], ())


@pytest.mark.parametrize("lab", ["north", "south"])
def test_what_is_of_all_labs_waits_for_each_of_them(postgresql_url: str, lab: str) -> None:
    with open_book(postgresql_url, lab="north") as north, open_book(postgresql_url, lab=lab) as other:
        north.add_stains([Stain("husk")])
        whole = threading.Thread(target=north.rebuild_index)
        with other.transaction() as step:
            whole.start()
            whole.join(0.3)
            assert whole.is_alive()
            step.add_stains([Stain("teasel")])
        whole.join(30)
        assert north.verify().faults == ()
        late = open_book(postgresql_url, lab=lab, timeout=0.2)
        with late, north._engines.writing(), pytest.raises(BookError, match="is busy"):
            late.add_stains([Stain("moss")])


def test_a_lab_is_given_a_role_while_no_lab_writes(postgresql_server: str) -> None:
    with two_labs(postgresql_server) as urls:
        role = urls["south"].partition("://")[2].partition("@")[0]
        with open_book(urls["north"], lab="north") as north, north.transaction() as step:
            step.add_stains([Stain("husk")])
            with pytest.raises(BookError, match="is busy"):
                prepare_lab(urls["owner"], "south", role, timeout=0.2)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="processes are copied on POSIX only")
def test_two_labs_that_write_at_once_lose_nothing(
    postgresql_server: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with two_labs(postgresql_server) as urls:
        benches = []
        for lab in ("north", "south"):
            monkeypatch.setenv("STAINBOOK_LAB", lab)
            benches += [start(tmp_path, urls[lab], f"{lab}-{n}", STEPS) for n in range(2)]
        for bench in benches:
            assert (bench.wait(), bench.errors) == (0, "")
        for lab in ("north", "south"):
            with open_book(urls[lab], lab=lab) as book:
                assert [fit.document["total"] for fit in book.fits("counter")] == list(range(1, 2 * STEPS + 1))
                assert (book.newest_row(), book.verify().faults) == (6 * STEPS, ())
