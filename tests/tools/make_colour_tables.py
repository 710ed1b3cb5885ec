"""Makes the tables of ``stainbook/colour/data`` from colour-science: ``python -m tests.tools.make_colour_tables``.

CIE tables at 1 nm over the practice range of ASTM E308, 360-780 nm: the colour-matching functions of both standard
observers and the relative powers of the common illuminants; and, in a file of its own that is read when it is asked
for, those of all other illuminants of the library. Tables that CIE publishes by 5 nm are interpolated (Sprague) and
held where they begin later or end sooner.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

from tests.colour import library

DATA = Path(__file__).parents[2] / "stainbook" / "colour" / "data"
ILLUMINANTS = {"A": "A", "D50": "D50", "D55": "D55", "D65": "D65", "F2": "FL2", "F11": "FL11", "LED-B3": "LED-B3"}


def table() -> tuple[list[str], np.ndarray]:
    """Column names and the (421, 14) table."""
    names = ["x2", "y2", "z2", "x10", "y10", "z10", *ILLUMINANTS]
    powers = [library.illuminant_spd(name) for name in ILLUMINANTS.values()]
    return _by_wavelength(names, [*library.observer_cmfs(2).T, *library.observer_cmfs(10).T, *powers])


def other_lights() -> tuple[list[str], np.ndarray]:
    """Column names and the table (421, n) of the library's other illuminants."""
    names = [name for name in library.library_illuminants() if name not in ILLUMINANTS.values()]
    return _by_wavelength(names, [library.illuminant_spd(name) for name in names])


def _by_wavelength(names: list[str], columns: list[np.ndarray]) -> tuple[list[str], np.ndarray]:
    nm = np.arange(library.FIRST_NM, library.LAST_NM + 1.0)
    return ["nm", *names], np.column_stack([nm, *columns])


def main() -> None:
    for file, (names, values) in {"cie_1nm.csv": table(), "other_lights_1nm.csv": other_lights()}.items():
        lines = [",".join(names)]
        lines += [",".join(f"{value:.12g}" for value in row) for row in values]
        (DATA / file).write_text("\n".join(lines) + "\n", encoding="utf-8")
        print(f"{file}: {values.shape[0]} rows, {(DATA / file).stat().st_size} bytes")


if __name__ == "__main__":
    main()
