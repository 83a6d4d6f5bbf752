"""Many photos at once, on threads that can be left behind at any moment."""

from __future__ import annotations

import os
import queue
import threading
from collections.abc import Callable, Sequence
from typing import Generic, TypeVar

Job = TypeVar("Job")
Result = TypeVar("Result")

_STEP_SECONDS = 0.2


class StoppedError(Exception):
    """The run was stopped. What this worker had not finished does not count."""


class Workers(Generic[Job, Result]):
    """
    Threads that work through a list of jobs while their results are taken in the calling thread.

    Threads are enough: decoding, resizing and encoding all let go of the interpreter's lock. They are daemons,
    so that a stopped program ends at once and does not wait for the encoder that happens to be at work.
    """

    def __init__(self, work: Callable[[Job], Result], count: int) -> None:
        self._work = work
        self._count = count
        self._stop = threading.Event()

    def check_stopped(self) -> None:
        """
        Give the worker that calls this a chance to end.

        Raises:
            StoppedError: The run is over.
        """
        if self._stop.is_set():
            raise StoppedError

    def wait_for(self, lock: threading.Semaphore) -> None:
        """
        Acquire a lock, unless the run is stopped first.

        Raises:
            StoppedError: The run is over; the lock is not held.
        """
        while not lock.acquire(timeout=_STEP_SECONDS):
            self.check_stopped()

    def run(self, jobs: Sequence[Job], take: Callable[[Result], None]) -> None:
        """
        Do all jobs, in any order.

        Args:
            jobs: What `work` is called with.
            take: Called here with each result as it comes. When this thread is interrupted or `take` fails, the
                results that are there already are taken, no further job is begun, and the error goes on.

        Raises:
            Exception: Whatever `work` or `take` raised.
        """
        waiting: queue.SimpleQueue[Job] = queue.SimpleQueue()
        done: queue.SimpleQueue[tuple[Result | None, BaseException | None]] = queue.SimpleQueue()
        for job in jobs:
            waiting.put(job)

        def worker() -> None:
            while not self._stop.is_set():
                try:
                    job = waiting.get_nowait()
                except queue.Empty:
                    return
                try:
                    done.put((self._work(job), None))
                except StoppedError:
                    return
                except BaseException as error:
                    done.put((None, error))

        for _ in range(min(self._count, len(jobs))):
            threading.Thread(target=worker, name="photo worker", daemon=True).start()
        left = len(jobs)
        try:
            while left:
                try:
                    result, error = done.get(timeout=_STEP_SECONDS)
                except queue.Empty:
                    continue
                left -= 1
                if error is not None:
                    raise error
                take(result)  # type: ignore[arg-type]
        except BaseException:
            self._stop.set()
            self._take_finished(done, take)
            raise
        finally:
            self._stop.set()

    @staticmethod
    def _take_finished(
        done: queue.SimpleQueue[tuple[Result | None, BaseException | None]], take: Callable[[Result], None]
    ) -> None:
        while True:
            try:
                result, error = done.get_nowait()
                if error is None:
                    take(result)  # type: ignore[arg-type]
            except queue.Empty:
                return
            except Exception:  # the error that ended the run is the one to tell
                return


def processor_count() -> int:
    """Count the processor cores this program may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1
