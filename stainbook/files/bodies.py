"""bodies.csv: the pieces without stain, each one a sample in the readings."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from stainbook.errors import FileError
from stainbook.files.loaded import Loaded
from stainbook.files.table import Row, format_table, parse_table
from stainbook.files.text import Source, read_text, shown, write_text
from stainbook.language import say
from stainbook.records import SURFACES, Body

_NAME = say("the body's name")
COLUMNS = ("body", "ceramic", "material", "lot", "thickness_mm", "backing", "sintering_programme", "surface")

THICKEST = 15.0  # mm: no restoration is thicker, 16 is 1.6 with its point lost


def read_bodies(file: Source) -> Loaded[Body]:
    """Read bodies.csv; every column but ``body`` may be left out or empty.

    Raises
    ------
    FileError
        For anything malformed, and for a body that stands there twice.

    >>> from pathlib import Path
    >>> from stainbook.files import read_bodies
    >>> Path("bodies.csv").write_text("body,material,thickness_mm\\nreed,zirconia,1.6\\n")
    45
    >>> [one.body for one in read_bodies("bodies.csv").records]
    ['reed']
    """
    path = Path(file)
    table = parse_table(read_text(file, say("a bodies file")), path, required=("body",))
    bodies: dict[str, Body] = {}
    for row in table.rows:
        body = _body(row)
        if body.body in bodies:
            raise row.fail("body", say("{body} a second time", body=shown(body.body)), say("each body once"))
        bodies[body.body] = body
    if not bodies:
        raise FileError(path, say("no body"), say("one body a row under the header"))
    return Loaded(tuple(bodies.values()), table.unknown_columns(COLUMNS))


def write_bodies(path: Path | str, bodies: Iterable[Body]) -> None:
    """Write bodies.csv; raises InputError when it cannot be written.

    >>> from pathlib import Path
    >>> from stainbook.records import Body
    >>> from stainbook.files import write_bodies
    >>> write_bodies("bodies.csv", [Body("reed", material="zirconia")])
    >>> Path("bodies.csv").read_text().splitlines()[1]
    'reed,,zirconia,,,,,'
    """
    rows = [["" if (value := getattr(body, name)) is None else str(value) for name in COLUMNS] for body in bodies]
    write_text(path, format_table(COLUMNS, rows))


def _body(row: Row) -> Body:
    return Body(
        body=row.needed("body", _NAME),
        ceramic=row.text("ceramic"),
        material=row.text("material"),
        lot=row.text("lot"),
        thickness_mm=_thickness(row),
        backing=row.text("backing"),
        sintering_programme=row.text("sintering_programme"),
        surface=row.choice("surface", SURFACES),
    )


def _thickness(row: Row) -> float | None:
    """Millimetres of ceramic; more than a bridge's height is one of another unit."""
    found = row.positive("thickness_mm")
    if found is not None and found > THICKEST:
        raise row.fail("thickness_mm", f"{found:g}", say("millimetres of ceramic, {most:g} at most", most=THICKEST))
    return found
