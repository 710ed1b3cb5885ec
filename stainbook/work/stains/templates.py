"""Files with a few filled lines, to be gone on with in a spreadsheet or an editor: what each column and key means."""

from __future__ import annotations

from stainbook.files import format_readings
from stainbook.files.layers import format_chips
from stainbook.files.stains import format_stains
from stainbook.records import CLEAR, Chip, Layer, Pot, Reading, Stain, Viewing

_SEEN = Viewing("D65", 10)
_MADE_UP = "# Lines to show the form, made up: put your own in their place.\n"
_STAINS = (
    Stain("husk", family="brown", lot="24-117", system="house", form="paste"),
    Stain("teasel", family="yellow", lot="24-090", system="house", form="paste"),
    Stain(CLEAR, kind="clear", system="house", form="paste"),
)
_STRIPES: tuple[tuple[str, float, int], ...] = (
    ("clear-1", 0.0, 1), ("husk-1", 0.25, 1), ("husk-2", 1.0, 1), ("husk-3", 0.25, 2)
)  # fmt: skip
_COLOURS = {
    "plate-1": (77.3, 0.3, 11.6),
    "clear-1": (75.1, 0.4, 12.4),
    "husk-1": (70.8, 2.9, 16.9),
    "husk-2": (59.3, 8.1, 24.6),
    "husk-3": (67.4, 4.6, 19.8),
}


def template_files() -> dict[str, str]:
    """The files by name: readings.csv, chips.csv, stains.yaml.

    >>> list(template_files())
    ['readings.csv', 'chips.csv', 'stains.yaml']
    """
    chips = [
        Chip(name, "plate-1", (Layer(Pot.of({"husk": share} if share else {}), coats),), "bench-1", material="zirconia")
        for name, share, coats in _STRIPES
    ]
    readings = [
        Reading(name, lab=lab, viewing=_SEEN, surface="matt" if name == "plate-1" else "glazed")
        for name, lab in _COLOURS.items()
    ]
    return {
        "readings.csv": _MADE_UP + format_readings(readings),
        "chips.csv": _MADE_UP + format_chips(chips),
        "stains.yaml": _MADE_UP + format_stains(_STAINS),
    }
