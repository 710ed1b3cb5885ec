"""``stainbook trust``: aligned text for people, one document for programs, unknown where there are few zones."""

from __future__ import annotations

from pathlib import Path

import jsonschema
import pytest

from stainbook.book import open_book
from stainbook.kept import Settings
from stainbook.work.documents.schemas import COMMANDS
from tests.cli.console import document, refusal, stainbook
from tests.work.test_claims_met import honest


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("lab")
    with open_book(f"sqlite:///{folder / 'lab.db'}") as book:
        book.add_outcomes(honest(120))
        book.add_settings(Settings(leads=("the lab",), lead_sees_all=True))
    return folder


def ask(folder: Path) -> tuple[str, ...]:
    return "--book", f"sqlite:///{folder / 'lab.db'}", "trust"


def test_people_get_a_table_and_a_verdict(folder: Path) -> None:
    told = stainbook(*ask(folder), cwd=folder).stdout.replace("\u00a0", " ")
    assert told.startswith("120 zones painted as chosen, of 30 firings: ")
    assert "the chances hold." in told.splitlines()[0]
    assert "month 2026-01" in told
    assert "technician bench-1" in told


def test_programs_get_one_document(folder: Path) -> None:
    found = document(*ask(folder), cwd=folder)
    jsonschema.validate(found, COMMANDS["trust"].model_json_schema())
    assert found["chosen"]["whole"]["zones"] == 120
    assert min(one["zones"] for one in found["chosen"]["bins"]) >= 20


def test_few_zones_are_unknown_and_what_is_no_day_is_refused(folder: Path) -> None:
    few = stainbook(*ask(folder), "--since", "2027-01-01", cwd=folder).stdout
    assert few.startswith("Unknown yet: 0 zones painted as chosen and read after, 20 are needed.")
    assert "expected a day such as 2026-03-01" in refusal(*ask(folder), "--since", "spring", cwd=folder)
