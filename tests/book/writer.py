"""A bench of its own process: writes to a book and says on standard output what was acknowledged.

``python -m tests.book.writer URL NAME STEPS``. Each step is one transaction that reads a counter,
stores it one higher, and stores a reading that carries the same number; then one fit by itself.
"""

from __future__ import annotations

import sys

from stainbook.book import open_book
from stainbook.records import Reading, Viewing


def write(url: str, name: str, steps: int) -> None:
    with open_book(url, author=name) as book:
        for step in range(steps):
            with book.transaction() as tx:
                counter = tx.fit("counter")
                total = 1 + (counter.document["total"] if counter else 0)
                tx.add_fit("counter", {"total": total}, data=b"x" * 5000)
                tx.add_readings([Reading(name, lab=(float(step), float(total), 0.0), viewing=Viewing())])
            print(total, book.add_fit("alone", {"by": name}), flush=True)


if __name__ == "__main__":
    write(sys.argv[1], sys.argv[2], int(sys.argv[3]))
