"""Runs a command line and turns whatever goes wrong into one line and an exit status."""

from __future__ import annotations

import io
import os
import sys
import time
from collections.abc import Sequence

import typer

from stainbook.cli.commands import app
from stainbook.cli.show import print_message, print_warnings
from stainbook.cli.usage import usage
from stainbook.errors import StainbookError, masked, message
from stainbook.language import ENGLISH, LANGUAGE, joined, languages, say, shown, speaking, spoken
from stainbook.notices import hearing, watching

PATIENCE = 3.0  # seconds
USAGE, UNEXPECTED, UNWRITTEN, INTERRUPTED = 2, 1, 1, 130  # the last as shells give it


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line (that of the process when None) and give the exit status."""
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # our matrices are small: threads only wait for one another
    _forgive_narrow_terminals()
    if spoken() != ENGLISH and spoken() not in languages():
        return _no_such_language(spoken())
    with hearing(), watching(_Progress()):
        status = _run(arguments)
        print_warnings(())
    return status


class _Progress:
    """Prints how far work is on standard error, every few seconds, so that nobody thinks that it hangs."""

    def __init__(self) -> None:
        self._last = time.monotonic()

    def __call__(self, where: str) -> None:
        if time.monotonic() - self._last > PATIENCE:
            self._last = time.monotonic()
            print_message(say("stainbook: {where}", where=where))


def _run(arguments: Sequence[str] | None) -> int:
    try:
        status = app(args=arguments, prog_name="stainbook", standalone_mode=False)
        sys.stdout.flush()
    except StainbookError as error:
        return _told(message(error), error.exit_code)
    except typer.TyperException as error:
        return _told(usage(error), USAGE)
    except (KeyboardInterrupt, typer.Abort):
        return INTERRUPTED
    except BrokenPipeError:
        return _no_reader()
    except OSError as error:  # files from outside raise errors of their own: this is the output, or the machine
        return _told(joined([error.filename or say("output"), str(error.strerror or error)], ": "), UNWRITTEN)
    except Exception as error:  # the last resort of a program: a line, not a traceback
        if os.environ.get("STAINBOOK_DEBUG"):
            raise
        fault = say(
            "{kind}: {error}; this is a fault in stainbook; STAINBOOK_DEBUG=1 shows where",
            kind=type(error).__name__,
            error=error,
        )
        return _told(fault, UNEXPECTED)
    return status if isinstance(status, int) else 0


def _forgive_narrow_terminals() -> None:
    """A terminal that has no Δ shows a question mark."""
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="replace")


def _told(said: str, status: int) -> int:
    print("stainbook:", masked(" ".join(shown(said).split())), file=sys.stderr)  # noqa: T201
    return status


def _no_such_language(language: str) -> int:
    said = say(
        "{LANGUAGE}: found {language!r}, expected one of {known}",
        LANGUAGE=LANGUAGE,
        language=language,
        known=joined(languages()),
    )
    with speaking(ENGLISH):
        return _told(said, USAGE)


def _no_reader() -> int:
    """Whoever read our output has gone: nothing more is written, also not when the interpreter ends."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return UNWRITTEN
