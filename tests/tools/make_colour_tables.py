"""Makes ``stainbook/colour/data/cie_1nm.csv`` from colour-science: ``python -m tests.tools.make_colour_tables``.

CIE tables at 1 nm over the practice range of ASTM E308, 360-780 nm: the colour-matching functions
of both standard observers and the relative powers of the common illuminants. Tables that CIE
publishes by 5 nm are interpolated (Sprague) and, below 380 nm, held.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

from stainbook.colour import reference

TARGET = Path(__file__).parents[2] / "stainbook" / "colour" / "data" / "cie_1nm.csv"
ILLUMINANTS = {"A": "A", "D50": "D50", "D55": "D55", "D65": "D65", "F2": "FL2", "F11": "FL11", "LED-B3": "LED-B3"}


def table() -> tuple[list[str], np.ndarray]:
    """Column names and the (421, 14) table."""
    nm = np.arange(reference.FIRST_NM, reference.LAST_NM + 1.0)
    names = ["nm", "x2", "y2", "z2", "x10", "y10", "z10", *ILLUMINANTS]
    powers = [reference.illuminant_spd(name) for name in ILLUMINANTS.values()]
    columns = [nm, *reference.observer_cmfs(2).T, *reference.observer_cmfs(10).T, *powers]
    return names, np.column_stack(columns)


def main() -> None:
    names, values = table()
    lines = [",".join(names)]
    lines += [",".join(f"{value:.12g}" for value in row) for row in values]
    TARGET.write_text("\n".join(lines) + "\n", encoding="utf-8")
    print(f"{TARGET.name}: {values.shape[0]} rows, {TARGET.stat().st_size} bytes")


if __name__ == "__main__":
    main()
