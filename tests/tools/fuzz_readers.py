"""Coverage-guided fuzzing of every reader of files: ``python -m tests.tools.fuzz_readers MINUTES [READER …]``.

Needs ``atheris`` (a tool for this run alone: ``pip install atheris``), which drives libFuzzer by the branches that
Python code takes. Each reader gets a process of its own and an equal share of the minutes; it starts from the seeds of
``tests/files/test_fuzz.py`` and of ``tests/tools/fuzzed.py``. Whatever is neither read nor told in one line is kept as
a file in ``--found FOLDER``, with its traceback beside it, once for each place that it comes from; then it goes on.
"""

from __future__ import annotations

import argparse
import hashlib
import os
import re
import resource
import subprocess
import sys
import tempfile
import time
import traceback
from pathlib import Path

INSTRUMENTED = ["stainbook", "yaml", "PIL"]
LARGEST = 20_000  # bytes of an input
LONGEST = 30  # seconds of one input
SEED = 20261127
MOST_DEATHS = 10


def fuzz_one(name: str, seconds: int, corpus: Path, found: Path, *, seed: int) -> None:
    """Fuzz one reader in this process; ends it."""
    import atheris

    with atheris.instrument_imports(include=INSTRUMENTED):
        from tests.tools.fuzzed import PIECES, READERS, seeds_of

        reader = READERS[name]
        seeds = seeds_of(name)
        for one in seeds:  # what is imported inside functions is loaded here
            reader(one)
    corpus.mkdir(parents=True, exist_ok=True)
    for one in seeds:
        (corpus / hashlib.sha256(one).hexdigest()[:16]).write_bytes(one)
    words = {word for one in seeds if len(one) < 10_000 for word in re.findall(rb"[A-Za-z_*#]{3,24}", one)}
    listed = corpus.with_suffix(".words")
    listed.write_text("".join(f'"{_escaped(one)}"\n' for one in sorted({*words, *PIECES}) if 0 < len(one) < 64))

    runs, began = 0, time.process_time()

    def held(data: bytes) -> None:
        nonlocal runs
        runs += 1
        if time.process_time() - began > seconds:  # libFuzzer counts by the clock, which a busy machine makes longer
            print(f"ran {runs}", file=sys.stderr, flush=True)
            os._exit(0)
        try:
            reader(data)
        except Exception as error:
            _keep(name, data, error, found)

    limits = [f"-max_len={LARGEST}", f"-timeout={LONGEST}", "-rss_limit_mb=4000", f"-seed={seed}"]
    told = [f"-dict={listed}", f"-artifact_prefix={found}/{name}-native-"]
    atheris.Setup([sys.argv[0], *limits, *told, str(corpus)], held)
    atheris.Fuzz()


def _escaped(piece: bytes) -> str:
    return "".join(chr(one) if 32 < one < 127 and one not in b'"\\' else f"\\x{one:02x}" for one in piece)


def _keep(name: str, data: bytes, error: Exception, found: Path) -> None:
    """Keep an input, the shortest for each place that it comes from."""
    frames = [one for one in traceback.extract_tb(error.__traceback__) if "/stainbook/" in one.filename]
    place = f"{Path(frames[-1].filename).name}-{frames[-1].lineno}" if frames else "elsewhere"
    file = found / f"{name}-{type(error).__name__}-{place}"
    if not file.exists() or file.stat().st_size > len(data):
        file.write_bytes(data)
        file.with_name(f"{file.name}.txt").write_text("".join(traceback.format_exception(error)))


def fuzz(name: str, seconds: int, corpus: Path, found: Path) -> str:
    """Fuzz one reader in a process of its own; gives a row of the table."""
    spent, runs, branches, deaths = 0.0, 0, 0, 0
    while spent < seconds and deaths < MOST_DEATHS:
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        command = [sys.executable, "-m", "tests.tools.fuzz_readers", "0", name, "--found", str(found)]
        more = ["--corpus", str(corpus), "--seconds", str(max(int(seconds - spent), 1)), "--seed", str(SEED + deaths)]
        done = subprocess.run([*command, *more], capture_output=True, text=True, errors="replace")
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        spent += after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
        runs += max([0, *map(int, re.findall(r"(?m)^(?:ran |#)(\d+)", done.stderr))])
        branches = max([branches, *map(int, re.findall(r"cov: (\d+)", done.stderr))])
        if done.returncode == 0:
            break
        deaths += 1
        (found / f"{name}-died-{deaths}.txt").write_text(done.stderr[-20_000:])
    kept = sum(1 for one in found.glob(f"{name}-*") if one.suffix != ".txt")
    return f"| {name} | {spent / 60:.1f} | {runs:,} | {branches:,} | {len(list((corpus / name).glob('*')))} | {kept} |"


def main() -> None:
    """Fuzz the readers in turn, and print a row for each."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("minutes", type=float)
    parser.add_argument("readers", nargs="*")
    parser.add_argument("--found", type=Path, default=Path("found"))
    parser.add_argument("--corpus", type=Path, default=None)
    parser.add_argument("--seconds", type=int, default=0, help=argparse.SUPPRESS)
    parser.add_argument("--seed", type=int, default=SEED, help=argparse.SUPPRESS)
    asked = parser.parse_args()
    asked.found.mkdir(parents=True, exist_ok=True)
    if asked.seconds:
        fuzz_one(asked.readers[0], asked.seconds, asked.corpus / asked.readers[0], asked.found, seed=asked.seed)
    from tests.tools.fuzzed import READERS

    os.environ.setdefault("OMP_NUM_THREADS", "1")
    names = asked.readers or list(READERS)
    fast = Path("/dev/shm")  # in memory where that can be: a disk would be what is measured
    print("| reader | minutes of a core | inputs | branches | corpus | found |\n| --- | --- | --- | --- | --- | --- |")
    with tempfile.TemporaryDirectory(prefix="fuzz", dir=fast if fast.is_dir() else None) as made:
        os.environ["TMPDIR"] = made
        for name in names:
            seconds = int(60 * asked.minutes / len(names))
            print(fuzz(name, seconds, asked.corpus or Path(made, "corpus"), asked.found), flush=True)


if __name__ == "__main__":
    main()
