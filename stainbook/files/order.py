"""The order of readings: a measuring sheet saved as CSV, out and in."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from stainbook.errors import FileError
from stainbook.files.table import format_table, parse_table
from stainbook.files.text import read_text
from stainbook.language import say

_NAME = say("the sample's name")
ORDER_COLUMNS = ("row", "sample", "tooth", "zone", "note", "L", "a", "b")


def read_order(path: Path | str) -> tuple[str, ...]:
    """The samples of a sheet in its order; a sample may stand there more than once.

    Raises
    ------
    FileError
        For a file without samples, or whose rows are not numbered as they stand.

    >>> from pathlib import Path
    >>> from stainbook.files import format_order
    >>> from stainbook.files import read_order
    >>> Path("order.csv").write_text(format_order([("1", "W-1-11-middle", "11", "middle", "")]))
    63
    >>> len(read_order("order.csv"))
    1
    """
    path = Path(path)
    table = parse_table(read_text(path, say("a measuring sheet")), path, required=("sample",))
    for number, row in enumerate(table.rows, 1):
        if row.text("row") not in (None, str(number)):
            hint = say("sorted otherwise, rows would get the colours of others")
            raise row.fail(
                "row", repr(row.text("row")), say("{number}, rows as they are read", number=number), hint=hint
            )
    if not table.rows:
        raise FileError(path, say("no row"), say("one sample a row, in the order in which they are read"))
    return tuple(row.needed("sample", _NAME) for row in table.rows)


def format_order(rows: Iterable[Sequence[str]]) -> str:
    """A sheet as CSV with empty L, a, b to fill in; each row holds row, sample, tooth, zone, note.

    >>> from stainbook.files import format_order
    >>> format_order([("1", "W-1-11-middle", "11", "middle", "")]).splitlines()[0]
    'row,sample,tooth,zone,note,L,a,b'
    """
    return format_table(ORDER_COLUMNS, [(*row, "", "", "") for row in rows])
