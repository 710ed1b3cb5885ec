"""A worker: takes searches from the queue of a book, one after the other, until it is ended."""

from __future__ import annotations

import asyncio
import contextlib
from collections.abc import Callable, Iterator
from time import monotonic
from typing import TYPE_CHECKING, Any

from sqlalchemy import URL

from stainbook import __version__
from stainbook.book import Book, open_book
from stainbook.book.location import locate, shown
from stainbook.errors import BookError, StoppedError
from stainbook.language import say
from stainbook.match import Watch
from stainbook.work.app import job_tables as tables
from stainbook.work.case.searches import Order, answer_of, parts_of

if TYPE_CHECKING:
    import psycopg
    from procrastinate import App, JobContext
    from procrastinate.worker import Worker

PATIENCE = 30.0  # seconds without a sign of life after which a worker counts as dead and another does its work
GRACE = 3.0  # seconds in which a worker that is ended may still finish
LOOKS_EVERY = 0.25  # seconds between two looks for work, and for what is to be stopped
TOLD_EVERY = 0.5  # seconds
MOST_ATTEMPTS = 3  # workers that may die over one search
_RETRYING = 0x57A1B00E  # any number that is ours: one worker of a queue at a time looks for what dead ones left
_CLEANING = 600.0  # seconds


def run_worker(url: str | None, tell: Callable[[str], None], *, patience: float = PATIENCE) -> None:
    """Work until ended by a signal.

    patience : seconds without a sign of life after which this worker counts as dead, and others to it

    Raises InputError for a book in a file or without the queue's library, BookError where the book or its queue
    cannot be opened or is lost.
    """
    place = locate(url)
    schema = tables.set_up(place)
    with open_book(url) as book:
        book.newest_row()
        asyncio.run(_serve(place, schema, book, tell, patience))


async def _serve(url: URL, schema: str, book: Book, tell: Callable[[str], None], patience: float) -> None:
    from procrastinate import App, PsycopgConnector
    from procrastinate.exceptions import ProcrastinateException
    from procrastinate.worker import Worker

    place = tables.conninfo(url, schema)
    queue = App(connector=PsycopgConnector(conninfo=place, min_size=1, max_size=4))
    _register(queue, place, book, tell)
    try:
        async with queue.open_async():
            worker = Worker(
                queue,
                [tables.queue_name()],
                listen_notify=False,
                fetch_job_polling_interval=LOOKS_EVERY,
                abort_job_polling_interval=LOOKS_EVERY,
                shutdown_graceful_timeout=GRACE,
                update_heartbeat_interval=patience / 3,
                stalled_worker_timeout=patience,
            )
            running = asyncio.create_task(worker.run())  # type: ignore[no-untyped-call]
            beside = asyncio.create_task(_beside(queue, worker, patience, lambda: tell(_begun(url))))
            await asyncio.wait({running, beside}, return_when=asyncio.FIRST_COMPLETED)
            worker.stop()  # type: ignore[no-untyped-call]
            if not beside.done():
                beside.cancel()
            results: list[Any] = [*await asyncio.gather(running, beside, return_exceptions=True)]
    except ProcrastinateException as error:
        results = [error]
    lost = next((one for one in results if isinstance(one, Exception)), None)
    if lost is not None:
        reason = " ".join(str(lost.__cause__ or lost).split())
        raise BookError(say("the queue in {url} is lost: {reason}", url=shown(url), reason=reason)) from lost


def _begun(url: URL) -> str:
    return say("a worker of stainbook {version} for {url} (Ctrl-C ends it)", version=__version__, url=shown(url))


async def _beside(queue: App, worker: Worker, patience: float, begun: Callable[[], None]) -> None:
    """Say that this worker is there; meanwhile look for what dead workers left, and let old work go."""
    while worker.worker_id is None:
        await asyncio.sleep(0.02)
    own = {"worker": worker.worker_id, "version": __version__, "patience": patience}
    await queue.connector.execute_query_async(tables.JOIN, **own)
    begun()
    cleaned = -_CLEANING
    while True:
        await _retry_left(queue, patience)
        if monotonic() - cleaned > _CLEANING:
            cleaned = monotonic()
            await queue.job_manager.delete_old_jobs(
                tables.KEPT_HOURS, include_failed=True, include_cancelled=True, include_aborted=True
            )
        await asyncio.sleep(patience / 3)


async def _retry_left(queue: App, patience: float) -> None:
    """What dead workers left goes back into the queue; one worker at a time, so that it goes back once."""
    from procrastinate.jobs import Status
    from procrastinate.utils import utcnow

    async with queue.connector.pool.connection() as connection:  # type: ignore[attr-defined]
        own = "SELECT pg_try_advisory_xact_lock(%s, hashtext(current_schema()))"
        locked = await connection.execute(own, (_RETRYING,))
        if not (await locked.fetchone())[0]:
            return
        manager = queue.job_manager
        for job in await manager.get_stalled_jobs(queue=tables.queue_name(), seconds_since_heartbeat=patience):
            assert job.id is not None
            if job.attempts + 1 < MOST_ATTEMPTS:
                await manager.retry_job_by_id_async(job.id, utcnow())
            else:  # it may be what they died of
                await manager.finish_job_by_id_async(job.id, Status.FAILED, delete_job=False)
        await manager.prune_stalled_workers(patience)


# ---------------------------------------------------------------- one search


class _TellingWatch(Watch):
    """Tells the app how far the work is, now and then, and hears whether it is to end."""

    def __init__(self, job: int, connection: psycopg.Connection[Any], is_to_end: Callable[[], bool]) -> None:
        super().__init__()
        self._job, self._connection, self._is_to_end = job, connection, is_to_end
        self._told_at, self._parts = 0.0, 0

    def go_on(self) -> None:
        """As of any watch, once it was heard whether the work is to end."""
        if self._is_to_end():
            self.stop()
        if monotonic() - self._told_at > TOLD_EVERY:
            self._told_at = monotonic()
            self._tell()
        super().go_on()

    def _tell(self) -> None:
        asked = {"job": self._job, **self.pace._asdict()}
        self._connection.execute(tables.PACE, asked)
        if len(self.found) > self._parts:
            self._parts = len(self.found)
            self._connection.execute(
                tables.PARTS, {"job": self._job, "part": self._parts, "parts": parts_of(self.found)}
            )


def _register(queue: App, place: str, book: Book, tell: Callable[[str], None]) -> None:
    """The one task of the queue; what is aborted since the worker ends goes back."""
    from procrastinate import RetryStrategy
    from procrastinate.exceptions import JobAborted

    def search(context: JobContext, /, **asked: Any) -> None:
        _search(context, Order.of(asked), place, book, tell)

    again = RetryStrategy(retry_exceptions=[JobAborted])
    queue.task(name=tables.TASK, pass_context=True, retry=again)(search)


def _search(context: JobContext, order: Order, place: str, book: Book, tell: Callable[[str], None]) -> None:
    from procrastinate.exceptions import JobAborted
    from procrastinate.job_context import AbortReason

    job, began = context.job.id, monotonic()
    assert job is not None
    with _connected(place) as connection:
        watch = _TellingWatch(job, connection, context.should_abort)
        try:
            answer = answer_of(book.seen_by(None, order.laboratory), order, watch)
        except StoppedError:
            raise JobAborted from None
        if context.abort_reason() is AbortReason.SHUTDOWN:
            raise JobAborted  # a plan ends with the best so far: not what was asked for
        connection.execute(tables.RESULT, {"job": job, "result": answer})
    tell(say("{search}: {seconds:.1f} s", search=order.search, seconds=monotonic() - began))


@contextlib.contextmanager
def _connected(place: str) -> Iterator[psycopg.Connection[Any]]:
    import psycopg

    with psycopg.connect(place, autocommit=True) as connection:
        yield connection
