"""jars.csv: the jars and bottles of the lab, one a row: which stain, which lot, when opened, when it ran out."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from pathlib import Path

from stainbook.apparatus import Jar
from stainbook.errors import FileError
from stainbook.files.loaded import Loaded
from stainbook.files.table import Row, format_table, parse_table
from stainbook.files.text import Source, read_text, shown, write_text
from stainbook.language import say

COLUMNS = ("stain", "lot", "makers_lot", "opened_on", "run_out_on", "note")
DAY = say("a day such as 2026-03-02")


def read_jars(file: Source) -> Loaded[Jar]:
    """Read jars.csv; every column but ``stain`` and ``lot`` may be left out or empty.

    Raises
    ------
    FileError
        For anything malformed, for a jar that stands there twice, and one that ran out before it was opened.

    >>> from pathlib import Path
    >>> from stainbook.files import read_jars
    >>> Path("jars.csv").write_text("stain,lot,opened_on\\nhusk,24-117,2026-03-02\\n")
    43
    >>> [one.jar for one in read_jars("jars.csv").records]
    ['husk: 24-117']
    """
    path = Path(file)
    table = parse_table(read_text(file, say("a list of jars")), path, required=("stain", "lot"))
    jars: dict[tuple[str, str], Jar] = {}
    for row in table.rows:
        jar = _jar(row)
        if (jar.stain, jar.lot) in jars:
            raise row.fail("lot", say("{jar} a second time", jar=shown(jar.jar)), say("each jar once"))
        jars[jar.stain, jar.lot] = jar
    if not jars:
        raise FileError(path, say("no jar"), say("one jar a row under the header"))
    return Loaded(tuple(jars.values()), table.unknown_columns(COLUMNS))


def write_jars(path: Path | str, jars: Iterable[Jar]) -> None:
    """Write jars.csv; raises InputError when it cannot be written.

    >>> from pathlib import Path
    >>> from stainbook.apparatus import Jar
    >>> from stainbook.files import write_jars
    >>> write_jars("jars.csv", [Jar("husk", "24-117", opened_on="2026-03-02")])
    >>> Path("jars.csv").read_text().splitlines()[1]
    'husk,24-117,,2026-03-02,,'
    """
    write_text(path, format_table(COLUMNS, [[getattr(jar, name) or "" for name in COLUMNS] for jar in jars]))


def _jar(row: Row) -> Jar:
    opened, run_out = _day(row, "opened_on"), _day(row, "run_out_on")
    if opened and run_out and run_out < opened:
        raise row.fail("run_out_on", shown(run_out), say("{opened} or later: it was opened then", opened=opened))
    return Jar(
        stain=row.needed("stain", say("the stain's name")),
        lot=row.needed("lot", say("what the lab calls the jar, such as 24-117")),
        makers_lot=row.text("makers_lot"),
        opened_on=opened,
        run_out_on=run_out,
        note=row.text("note"),
    )


def _day(row: Row, column: str) -> str | None:
    text = row.text(column)
    if text is None:
        return None
    try:
        return date.fromisoformat(text).isoformat()
    except ValueError as error:
        raise row.fail(column, shown(text), DAY) from error
