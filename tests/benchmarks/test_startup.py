"""How long a command takes before it does anything, beside an interpreter that does nothing."""

import subprocess
import sys

import pytest


@pytest.mark.benchmark(group="start-up")
@pytest.mark.parametrize(
    "arguments",
    [("-c", "pass"), ("-m", "stainbook", "--help"), ("-m", "stainbook", "advise", "--help")],
    ids=["bare interpreter", "--help", "advise --help"],
)
def test_start_up(benchmark, arguments):
    def start() -> int:
        return subprocess.run([sys.executable, *arguments], stdout=subprocess.DEVNULL, check=True).returncode

    assert benchmark.pedantic(start, rounds=10, warmup_rounds=1) == 0
