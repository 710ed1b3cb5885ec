"""The small lab, calibrated once; each test works on a copy of its book."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.console import stainbook
from tests.life.bench import Bench
from tests.life.worlds import write_lab


@pytest.fixture(scope="session")
def life_lab(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("life")
    write_lab(folder)
    files = ("chips.csv", "chip-readings.csv", "--stains", "stains.yaml", "--bodies", "bodies.csv")
    stainbook("--book", f"sqlite:///{folder / 'lab.db'}", "calibrate", *files, cwd=folder)
    return folder


@pytest.fixture
def bench(life_lab: Path, tmp_path: Path) -> Bench:
    return Bench.of(life_lab, tmp_path / "bench")
