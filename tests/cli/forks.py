"""``python -m tests.cli.forks``: loads the package once, then runs each command that it is asked for in a fork.

One JSON line asks, one line with the exit status answers. It has one thread, so that a fork is whole.
"""

from __future__ import annotations

import json
import os
import signal
import sys
from typing import Any, NoReturn

import cv2
import numpy as np
import pandas as pd
import scipy.optimize
import sqlalchemy

from stainbook import colour, match, optics
from stainbook.cli import main
from stainbook.work.documents import schemas

LOADED = (cv2, np, pd, scipy.optimize, sqlalchemy, colour, match, optics, schemas)  # what most commands load


def run(asked: dict[str, Any]) -> NoReturn:
    """Be the command: its folder, surroundings and streams; never back."""
    for place, name in ((1, asked["out"]), (2, asked["err"])):
        stream = os.open(name, os.O_WRONLY | os.O_CREAT, 0o600)
        os.dup2(stream, place)
        os.close(stream)
    nothing = os.open(os.devnull, os.O_RDONLY)
    os.dup2(nothing, 0)
    os.chdir(asked["cwd"])
    os.environ.clear()
    os.environ.update(asked["env"])
    for written in (sys.stdout, sys.stderr):
        written.reconfigure(encoding=asked["env"]["PYTHONIOENCODING"])
    sys.argv = ["stainbook", *asked["arguments"]]
    signal.alarm(asked["patience"])
    status = 70  # of sysexits: the program itself failed
    try:
        status = main()
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(status)


def serve() -> None:
    """Answer until nobody asks any more."""
    answers = os.fdopen(os.dup(1), "w")
    for line in sys.stdin:
        child = os.fork()
        if child == 0:
            run(json.loads(line))
        _, ended = os.waitpid(child, 0)
        print(os.waitstatus_to_exitcode(ended), file=answers, flush=True)


if __name__ == "__main__":
    serve()
