"""Cuts the report's two fonts down to what it prints: python -m tests.tools.make_report_fonts FOLDER.

FOLDER holds DejaVuSans.ttf and DejaVuSans-Bold.ttf, version 2.37, as Debian's fonts-dejavu-core has them.
"""

from __future__ import annotations

import sys
from itertools import chain
from pathlib import Path

from fontTools import subset

FONTS = Path(__file__).parents[2] / "stainbook" / "report" / "fonts"
NAMES = ("DejaVuSans.ttf", "DejaVuSans-Bold.ttf")
# Without the letters and signs that DejaVu took from other fonts, whose terms are not those of its own.
LETTERS = chain(
    range(0x20, 0x7F), range(0xA0, 0x180), range(0x1CD, 0x1DD), range(0x218, 0x21C), range(0x2C6, 0x2C8),
    range(0x2D8, 0x2DE), range(0x370, 0x3E2), range(0x3F0, 0x460), range(0x490, 0x4A8), range(0x4AA, 0x4C0),
    range(0x1E00, 0x1F00),
)  # fmt: skip
SIGNS = chain(
    range(0x2010, 0x2028), range(0x2030, 0x2034), range(0x2070, 0x2090), range(0x2190, 0x219A), range(0x25A0, 0x25FF),
    (0x2039, 0x203A, 0x2044, 0x20AC, 0x2122, 0x2206, 0x2212, 0x221E, 0x2248, 0x2260, 0x2264, 0x2265, 0xFFFD),
)  # fmt: skip


def make(folder: Path) -> None:
    characters = [*LETTERS, *SIGNS]
    for name in NAMES:
        options = subset.Options(hinting=False, notdef_outline=True, name_IDs=["*"], recalc_timestamp=False)
        font = subset.load_font(folder / name, options)
        cutter = subset.Subsetter(options)
        cutter.populate(unicodes=characters)
        cutter.subset(font)
        subset.save_font(font, FONTS / name, options)
        print(name, (FONTS / name).stat().st_size, "bytes")


if __name__ == "__main__":
    make(Path(sys.argv[1]))
