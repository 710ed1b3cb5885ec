"""The photo's figures of the guide's results, each on a small draw: ``python -m tests.benchmarks.photo_figures gum``.

``gum``: living gum by one shot and by two; ``trust``: misleading pictures; ``found``: the chart in pictures with and
without one; ``ways``: every way of shooting. All simulated; the larger draws are told in the results.
"""

from __future__ import annotations

import argparse

from tests.worlds import photo_accuracy, photo_found, photo_trust, photo_two_shots

FIGURES = {
    "gum": lambda: photo_two_shots.main(["sealed", "6"]),
    "trust": lambda: photo_trust.main(["frozen", "1"]),
    "found": lambda: photo_found.main(["1", "--without", "9"]),
    "ways": lambda: photo_accuracy.main(["sealed", "4"]),
}

if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("figure", choices=FIGURES)
    FIGURES[parser.parse_args().figure]()
