"""The book of revision 3 with its case files: advice, sheets, reports and leaving are told as its program told them.

Apart from the other sets, since it takes the longest: files run two at a time.
"""

from __future__ import annotations

import contextlib
from pathlib import Path

from tests.old_books import sets
from tests.old_books.checked import check


def test_the_book_of_the_last_revision_and_its_case_files_are_told_as_they_were(tmp_path: Path) -> None:
    url = sets.put("revision-3", tmp_path / "lab")
    with contextlib.chdir(tmp_path / "lab"):
        check("revision-3", url)
