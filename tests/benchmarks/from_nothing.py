"""From README's first line to the first page, and what lies in the environment then.

``python -m tests.benchmarks.from_nothing time [FOLDER]`` makes an environment in a folder, installs this checkout there
as README does, opens the demonstration lab and prints what each step took: by the clock, which other work lengthens,
and of the processor, which it hardly does. ``--compiled`` installs as pip does by itself, with all bytecode made then.
``… parts`` prints size, licence and who asks for each distribution that this environment would need without the test
extras.
"""

from __future__ import annotations

import argparse
import contextlib
import os
import re
import resource
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from tests.benchmarks.at_once import HEALTH
from tests.benchmarks.parts import parts
from tests.worlds.fired_labs import table

ROOT = Path(__file__).parents[2]
LONGEST = 900  # s
TICKS = os.sysconf("SC_CLK_TCK")
_OPENER = urllib.request.build_opener(urllib.request.ProxyHandler({}))


# ---------------------------------------------------------------- time


@dataclass(frozen=True)
class Step:
    """One step: by the clock and of the processor, in seconds."""

    name: str
    clock: float
    core: float


def steps(place: Path, *, compiled: bool) -> Iterator[Step]:
    """Environment, installation, and the demonstration lab to its first page and to the app, one after the other."""
    environment, python = place / "venv", place / "venv" / "bin" / "python"
    yield _ran("environment", [sys.executable, "-m", "venv", str(environment)])
    options = [] if compiled else ["--no-compile"]
    yield _ran("pip installs", [str(python), "-m", "pip", "install", "-qq", *options, "-e", str(ROOT)])
    yield from _demo(environment / "bin" / "stainbook", place / "data")


def again(place: Path) -> Iterator[Step]:
    """The demonstration lab once more: its book is kept, the bytecode is there; and what pip takes to resolve."""
    command, python = place / "venv" / "bin" / "stainbook", place / "venv" / "bin" / "python"
    for step in _demo(command, place / "data"):
        yield Step(f"{step.name}, a second time", step.clock, step.core)
    dry = [str(python), "-m", "pip", "install", "-qq", "--dry-run", "--ignore-installed", "-e", str(ROOT)]
    yield _ran("of pip: resolving and fetching", dry)


def _ran(name: str, command: list[str]) -> Step:
    clock, core = time.perf_counter(), _children()
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL, cwd=ROOT)
    return Step(name, time.perf_counter() - clock, _children() - core)


def _children() -> float:
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def _demo(command: Path, data: Path) -> Iterator[Step]:
    """The page that stands while the book is made, then the app; the app is ended by its own process."""
    began = time.perf_counter()
    app = subprocess.Popen(
        [str(command), "demo", "--port", "0", "--no-browser", "--json"],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        env=os.environ | {"XDG_DATA_HOME": str(data)},
    )
    assert app.stdout
    try:
        address = next(found[0] for line in app.stdout if (found := re.search(r"http://[\d.:]+", line)))
        made = Step("the demonstration book", time.perf_counter() - began, _core(app.pid))
        yield made
        while not _answers(address) and time.perf_counter() - began < LONGEST:
            time.sleep(0.02)
        yield Step("the app answers", time.perf_counter() - began - made.clock, _core(app.pid) - made.core)
    finally:
        app.terminate()
        app.wait()
        app.stdout.close()


def _answers(address: str) -> bool:
    with contextlib.suppress(urllib.error.URLError, OSError), _OPENER.open(address + HEALTH, timeout=30) as answer:
        return bool(answer.status == 200)
    return False


def _core(process: int) -> float:
    with contextlib.suppress(OSError):
        fields = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()
        return (int(fields[11]) + int(fields[12])) / TICKS
    return 0.0


def print_time(folder: Path | None, *, compiled: bool) -> None:
    """Both tables of one run."""
    with tempfile.TemporaryDirectory() as made:
        place = folder or Path(made)
        taken = list(steps(place, compiled=compiled))
        whole = Step("**from the first line to the app**", sum(s.clock for s in taken), sum(s.core for s in taken))
        size = subprocess.run(["du", "-sm", str(place / "venv")], capture_output=True, text=True, check=True).stdout
        rows = [*taken, whole, *again(place)]
        print(table(["step", "clock, s", "core, s"], [[s.name, f"{s.clock:.1f}", f"{s.core:.1f}"] for s in rows]))
        print(f"\n{size.split()[0]} MB; {os.cpu_count()} cores, load {os.getloadavg()[0]:.0f}")


def print_parts() -> None:
    """Size and licence of each part, the heaviest first."""
    found = parts()
    rows = [[one.name, one.version, f"{one.megabytes:.1f}", ", ".join(one.asked_by), one.licence] for one in found]
    print(table(["part", "version", "MB", "asked for by", "licence"], rows))
    print(f"\n{len(found)} parts, {sum(one.megabytes for one in found):.0f} MB with their bytecode as it is here")


def main() -> None:
    """Print what was asked for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("what", choices=("time", "parts"))
    parser.add_argument("folder", nargs="?", type=Path)
    parser.add_argument("--compiled", action="store_true")
    asked = parser.parse_args()
    if asked.what == "parts":
        print_parts()
    else:
        print_time(asked.folder, compiled=asked.compiled)


if __name__ == "__main__":
    main()
