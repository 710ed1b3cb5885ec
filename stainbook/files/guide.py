"""guide.csv: the lab's own shade guide, each zone of each tab a sample in the readings."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from pathlib import Path

from stainbook.errors import FileError
from stainbook.files.loaded import Loaded
from stainbook.files.table import Row, format_table, parse_table
from stainbook.files.text import read_text, shown, write_text
from stainbook.language import say
from stainbook.records import GUM_ZONES, TISSUES, TOOTH_ZONES, GuideTab, tissue_of

_A_ZONE = say("a zone")
_ZONES = (*TOOTH_ZONES, *GUM_ZONES)
COLUMNS = ("guide", "tab", "zone", "tissue")


def read_guide(path: Path | str) -> Loaded[GuideTab]:
    """Read guide.csv; ``tissue`` may be left out for zones that have a fixed one.

    Raises
    ------
    FileError
        For anything malformed, and for a zone of a tab that stands there twice.

    >>> from pathlib import Path
    >>> from stainbook.files import read_guide
    >>> Path("guide.csv").write_text("guide,tab,zone\\nhouse,oat-mid,middle\\n")
    36
    >>> [one.tab for one in read_guide("guide.csv").records]
    ['oat-mid']
    """
    path = Path(path)
    table = parse_table(read_text(path, say("a guide file")), path, required=COLUMNS[:3])
    tabs: dict[str, GuideTab] = {}
    for row in table.rows:
        tab = _tab(row)
        if tab.sample in tabs:
            raise row.fail(
                None, say("{sample} a second time", sample=shown(tab.sample)), say("each guide/tab/zone once")
            )
        tabs[tab.sample] = tab
    if not tabs:
        raise FileError(path, say("no tab"), say("one zone of one tab a row under the header"))
    return Loaded(tuple(tabs.values()), table.unknown_columns(COLUMNS))


def write_guide(path: Path | str, tabs: Iterable[GuideTab]) -> None:
    """Write guide.csv; raises InputError when it cannot be written.

    >>> from pathlib import Path
    >>> from stainbook.records import GuideTab
    >>> from stainbook.files import write_guide
    >>> write_guide("guide.csv", [GuideTab("house", "oat-mid", "middle", "tooth")])
    >>> Path("guide.csv").read_text().splitlines()[1]
    'house,oat-mid,middle,tooth'
    """
    write_text(path, format_table(COLUMNS, [(tab.guide, tab.tab, tab.zone, tab.tissue) for tab in tabs]))


def _tab(row: Row) -> GuideTab:
    zone = zone_word(row.needed("zone", _A_ZONE))
    tissue, fixed = row.choice("tissue", TISSUES), tissue_of(zone)
    if tissue is None and fixed is None:
        expected = say("tooth or gingiva for {zone}, a zone of your own", zone=shown(zone))
        raise row.fail("tissue", say("an empty cell"), expected, hint=zone_hint(zone))
    if tissue and fixed and tissue != fixed:
        raise row.fail("tissue", tissue, say("{fixed} for the zone {zone}", fixed=fixed, zone=zone))
    return GuideTab(row.needed("guide"), row.needed("tab"), zone, tissue or fixed or "")


def zone_word(text: str) -> str:
    """Give a zone's name as records have it: the known ones in lower case, others as written.

    >>> zone_word("Cervical"), zone_word("Mamelon left")
    ('cervical', 'Mamelon left')
    """
    return text.lower() if text.lower() in _ZONES else text


def zone_hint(text: str) -> str | None:
    """Which known zone a name may be meant for."""
    near = difflib.get_close_matches(text.lower(), _ZONES, n=1)
    return say("did you mean {name}?", name=near[0]) if near else None
