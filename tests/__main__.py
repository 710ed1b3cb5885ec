"""``python -m tests`` brings what the tests need beside Python packages, then runs them all.

Until pytest starts, the standard library alone is used. Chromium and PostgreSQL come from the
system's package manager when that is apt and this is root; else tests that need them are skipped,
which is said here. Arguments are handed on to pytest.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[1]
WORKERS = 2
# the first that is there: without the window of a desktop the same browser takes a fifth less of the processor
BROWSERS = ("chromium-headless-shell", "chromium", "chromium-browser", "google-chrome")
QUIET = {"stdout": subprocess.DEVNULL, "stderr": subprocess.PIPE, "text": True}


def browser() -> str | None:
    """Where the Chromium is that the tests drive; None where there is none."""
    return next(filter(None, map(shutil.which, BROWSERS)), None)


def missing_programs() -> dict[str, list[str]]:
    """What is not on this machine: its name and the packages that bring it."""
    wanted: dict[str, list[str]] = {}
    if browser() is None:
        wanted["Chromium"] = ["chromium", "fonts-dejavu-core"]
    if not (shutil.which("initdb") or list(Path("/usr/lib/postgresql").glob("*/bin/initdb"))):
        wanted["PostgreSQL"] = ["postgresql"]
    return wanted


def bring(packages: list[str]) -> str | None:
    """Install packages with apt; why that could not be, or None."""
    if not shutil.which("apt-get"):
        return "there is no apt-get"
    if os.geteuid() != 0:
        return "this is not root"
    environment = os.environ | {"DEBIAN_FRONTEND": "noninteractive"}
    for command in (["update"], ["install", "-y", "--no-install-recommends", *packages]):
        done = subprocess.run(["apt-get", "-qq", *command], env=environment, check=False, **QUIET)
        if done.returncode:
            return f"apt-get {command[0]} failed: {(done.stderr.strip().splitlines() or ['no reason given'])[-1]}"
    return None


def main() -> int:
    """Bring what is missing, run pytest from the root of the checkout, give its status."""
    if not shutil.which(BROWSERS[0]):
        bring([BROWSERS[0], "fonts-dejavu-core"])  # not every system has it, and any other Chromium serves
    missing = missing_programs()
    if missing:
        print(f"bringing {', '.join(missing)} …", flush=True)
        reason = bring([package for packages in missing.values() for package in packages])
        for name in missing_programs():
            print(f"tests that need {name} are skipped: {reason or 'it is still not found'}", flush=True)
    # two files at a time, since many tests wait for a browser or a server
    workers = ["-n", str(WORKERS), "--dist", "loadfile"]
    environment = {"OMP_NUM_THREADS": "1", **os.environ}
    return subprocess.call([sys.executable, "-m", "pytest", *workers, *sys.argv[1:]], cwd=ROOT, env=environment)


if __name__ == "__main__":
    sys.exit(main())
