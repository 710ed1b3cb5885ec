"""Files that once led to another error than one clear line: found by ``tests.tools.fuzz_readers``, then shortened."""

from pathlib import Path

import pytest

from tests.tools.fuzzed import READERS

FOUND = sorted((Path(__file__).parent / "found").iterdir())


@pytest.mark.parametrize("file", FOUND, ids=lambda file: file.name)
def test_what_was_found_is_read_or_told_in_one_line(file: Path) -> None:
    READERS[file.name.partition("-")[0]](file.read_bytes())
