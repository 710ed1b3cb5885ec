"""Searches handed to the workers of a book: asked for, looked at, stopped; None where they are to be done here."""

from __future__ import annotations

import logging
import threading
from collections.abc import Mapping
from time import monotonic, sleep
from typing import TYPE_CHECKING, Any

from sqlalchemy import make_url

from stainbook import __version__
from stainbook.errors import InputError, StoppedError, in_one_line
from stainbook.language import say
from stainbook.match import Pace, Watch
from stainbook.work.app import job_tables as tables
from stainbook.work.case.searches import Order, parts_taken

if TYPE_CHECKING:
    from procrastinate import App

EVERY = 0.25  # seconds between two looks
GONE = 5.0  # seconds without any worker: one that comes takes the place of a dead one within them
STOPPING = 10.0  # seconds in which stopped work may still give what it has
LATER = -1  # priority of what nobody waits for yet: workers take it when nothing else is there
MOST_CONNECTIONS, MOST_LOGGED = 4, 300
WAITING = Pace("wait", 0, 1)  # until a worker has a hand free
_LOG = logging.getLogger("stainbook")


class Workers:
    """The workers of one book, as an app sees them; it connects when it is first asked."""

    def __init__(self, url: str) -> None:
        self._url = make_url(url)
        self._lock = threading.Lock()
        self._queue: App | None = None
        self._schema: str | None = None
        self._is_closed = False

    def asked(self, order: Order, watch: Watch) -> str | None:
        """What a worker gives; None where none can, and ``watch`` is told why.

        Raises StoppedError when ``watch`` is to stop.
        """
        from procrastinate.exceptions import ProcrastinateException
        from psycopg import Error

        try:
            watch.told = self._why_not()
            return None if watch.told else self._followed(order, watch)
        except (ProcrastinateException, Error) as error:
            _LOG.warning("%s", in_one_line(error.__cause__ or error, most=MOST_LOGGED))
            watch.told = say("The workers cannot be reached: this is worked out here.")
            return None

    def _why_not(self) -> str:
        """Why no worker can be asked; nothing where one can."""
        self._opened()
        seen = self._all(tables.MARK, schema=self._schema) if self._schema else []
        if not seen:
            return say("No worker is alive: this is worked out here.")
        alive = {str(row["version"]) for row in self._all(tables.ALIVE)} if seen[0]["mark"] == tables.mark() else set()
        if __version__ in alive:
            return ""
        if alive or seen[0]["mark"] != tables.mark():
            return say(
                "The workers are of stainbook {theirs}, this app is {own}: this is worked out here.",
                theirs=", ".join(sorted(alive)) or say("another version"),
                own=__version__,
            )
        return say("No worker is alive: this is worked out here.")

    def _followed(self, order: Order, watch: Watch) -> str | None:
        """A job from its order to its answer."""
        queue = self._opened()
        job = queue.configure_task(
            tables.TASK, queue=tables.queue_name(), priority=LATER if watch.beforehand else 0
        ).defer(**order.as_dict())
        watch.pace, part, stopping = WAITING, 0, None
        seen_alive = monotonic()
        while True:
            if watch.stopped and stopping is None:
                stopping = monotonic()
                queue.job_manager.cancel_job_by_id(job, abort=True)
            found = self._all(tables.LOOK, job=job, part=part, version=__version__)
            one: Mapping[str, Any] = found[0] if found else {"status": "failed", "result": None}
            if one["result"] is not None:
                return str(one["result"])
            ended = one["status"] not in ("todo", "doing")
            if stopping is not None and (ended or monotonic() - stopping > STOPPING):
                raise StoppedError(say("stopped before it was done"))
            seen_alive = monotonic() if one.get("alive") else seen_alive
            if ended or monotonic() - seen_alive > GONE:
                queue.job_manager.cancel_job_by_id(job, abort=True)
                watch.told = (
                    say("A worker could not do it: this is worked out here.")
                    if ended
                    else say("No worker is alive: this is worked out here.")
                )
                return None
            part = _take_up(one, watch, part)
            watch.wait(EVERY) if stopping is None else sleep(EVERY)

    def _all(self, query: str, **asked: Any) -> list[dict[str, Any]]:
        return self._opened().connector.get_sync_connector().execute_query_all(query, **asked)

    def _opened(self) -> App:
        from procrastinate import App, SyncPsycopgConnector
        from psycopg import OperationalError

        with self._lock:
            if self._is_closed:  # a search may outlive the open book for a moment
                raise OperationalError
            if self._queue is None:
                self._schema = tables.schema_of(self._url)
                queue = App(
                    connector=SyncPsycopgConnector(
                        conninfo=tables.conninfo(self._url, self._schema),
                        min_size=0,
                        max_size=MOST_CONNECTIONS,
                        timeout=10.0,
                    )
                )
                queue.open()
                self._queue = queue
            return self._queue

    def clear(self) -> None:
        """Give the connections back."""
        with self._lock:
            self._is_closed = True
            if self._queue is not None:
                self._queue.close()
                self._queue = None


class NoWorkers:
    """Of a book in a file, or where the queue's library is not installed: nobody is asked."""

    asked = None

    def clear(self) -> None:
        """Nothing to give back."""


def workers_of(url: str) -> Workers | NoWorkers:
    """Who works for the apps of a book."""
    elsewhere = make_url(url).drivername != "sqlite" and tables.is_installed()
    return Workers(url) if elsewhere else NoWorkers()


def _take_up(seen: Mapping[str, Any], watch: Watch, part: int) -> int:
    """Tell a watch how far a worker is, and what it found on the way; gives how much of that was taken up."""
    if seen["doing"]:
        watch.pace = Pace(str(seen["doing"]), int(seen["done"]), int(seen["of"]))
    if seen["parts"] is None:
        return part
    try:
        watch.found = parts_taken(str(seen["parts"]))
    except InputError as error:  # what comes of it in the end is looked at again
        _LOG.warning("%s", in_one_line(error, most=MOST_LOGGED))
    return int(seen["part"])
