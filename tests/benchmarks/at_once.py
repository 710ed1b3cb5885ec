"""How soon the app shows something: ``python -m tests.benchmarks.at_once FOLDER [ROUNDS]``.

FOLDER holds a book ``lab.db``. Times are told as multiples of an interpreter that does nothing, taken in the same run,
since a busy machine makes all of them longer alike.
"""

from __future__ import annotations

import contextlib
import json
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

import numpy as np

HEALTH = "/_stcore/health"
_OPENER = urllib.request.build_opener(urllib.request.ProxyHandler({}))


def bare() -> float:
    """Seconds of an interpreter that does nothing."""
    began = time.perf_counter()
    subprocess.run([sys.executable, "-c", "pass"], check=True)
    return time.perf_counter() - began


def start(url: str) -> dict[str, float]:
    """Seconds until the page that stands while the app loads, until it names cases, and until the app."""
    found: dict[str, float] = {}
    began = time.perf_counter()
    command = [sys.executable, "-m", "stainbook", "--book", url, "app", "--port", "0", "--no-browser"]
    app = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
    try:
        address = app.stdout.readline().split()[3]
        while "app" not in found and time.perf_counter() - began < 300:
            status, cases = _look(address)
            now = time.perf_counter() - began
            if status == 503:
                found.setdefault("page", now)
                if cases:
                    found.setdefault("cases", now)
            elif status == 200:
                found["app"] = now
            time.sleep(0.01)
    finally:
        app.terminate()
        app.wait()
        app.stdout.close()
    return found


def _look(address: str) -> tuple[int, bool]:
    with contextlib.suppress(urllib.error.URLError, OSError):
        try:
            with _OPENER.open(address + HEALTH, timeout=30) as answer:
                return answer.status, False
        except urllib.error.HTTPError as error:
            return error.code, bool(json.loads(error.read())["cases"])
    return 0, False


def main(folder: Path, rounds: int) -> None:
    """Measure in turn, and print medians as multiples."""
    url = f"sqlite:///{folder.absolute() / 'lab.db'}"
    start(url)  # warms the machine
    taken = [(bare(), start(url)) for _ in range(rounds)]
    print(f"bare interpreter: median {np.median([one for one, _ in taken]):.3f} s of {rounds}")
    for what in ("page", "cases", "app"):
        each = [found[what] / one for one, found in taken if what in found]
        wall = [found[what] for _, found in taken if what in found]
        if each:
            print(
                f"{what:6} {np.median(each):6.0f} times it, {np.median(wall):.2f} s, in {len(each)} of {rounds} starts"
            )


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else 5)
