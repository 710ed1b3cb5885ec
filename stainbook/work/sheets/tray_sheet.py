"""The sheet of a tray: the mixes once, then each pass over all pieces, mix by mix."""

from __future__ import annotations

from pathlib import Path

from stainbook.files.text import write_text
from stainbook.language import joined, say
from stainbook.words import apprentice, safety
from stainbook.work.documents.plan_schemas import TrayResult
from stainbook.work.documents.printed import PrintedTable, SheetContent, page_of
from stainbook.work.sheets.plan_sheet import (
    ZONES_HEAD,
    boxes_for_readings,
    drawings_of,
    expected,
    heading,
    mixes_table,
    not_painted,
    pass_rows,
    passes,
)


def save_html(tray: TrayResult, path: Path) -> None:
    """Write the sheet as a page to print; raises InputError when it cannot be written."""
    write_text(path, page_of(tray_content(tray)))


def tray_content(tray: TrayResult) -> SheetContent:
    """What the sheet says of all cases."""
    codes = [one.case for one in tray.cases]
    every = {one.case: passes(one) for one in tray.cases}
    count = max((len(one) for one in every.values()), default=0)
    tables = [mixes_table(tray.pots)] if tray.pots else []
    for number in range(count):
        rows = [
            (case, *row)
            for case, strokes in every.items()
            if len(strokes) > number
            for row in pass_rows(strokes[number])
        ]
        order = {one.id: place for place, one in enumerate(tray.pots)}
        rows.sort(key=lambda row: order[row[1]])
        said = heading(tray.cases[0], number, count)
        tables.append(PrintedTable((say("piece"), say("mix"), ZONES_HEAD, say("done")), rows, heading=said))
    tables.append(boxes_for_readings())
    lead = joined((joined([one.case, expected(one)], ": ") for one in tray.cases), " ")
    marks = [say("{case}: case mark {mark}.", case=one.case, mark=one.mark) for one in tray.cases if one.mark]
    bare = [joined([one.case, line], ": ") for one in tray.cases for line in not_painted(one)]
    names = dict.fromkeys(one.apprentice for one in tray.cases if one.apprentice)
    signed = [apprentice.line_to_sign(str(name)) for name in names]
    notes = [*signed, *marks, *tray.warnings, *bare, *safety.of_sheet(tray.cases[0].stage)]
    drawings = [drawing for one in tray.cases for drawing in drawings_of(one)]
    return SheetContent(say("Tray: {cases}", cases=joined(codes)), lead, tables, notes, drawings, small=True)
