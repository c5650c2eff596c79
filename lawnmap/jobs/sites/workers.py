"""Work side by side in processes of its own, each task by itself.

Every worker has a pipe of its own. When this process is killed all pipes end and so do the workers;
when a worker is killed its pipe ends, and only its task is worked on again.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import signal
from collections import deque
from collections.abc import Callable, Generator, Iterator, Sequence
from multiprocessing import resource_tracker
from multiprocessing.connection import Connection, wait
from multiprocessing.process import BaseProcess
from threading import Event, current_thread, main_thread
from types import FrameType
from typing import Any, Generic, TypeVar, cast

Task = TypeVar("Task")
Result = TypeVar("Result")

TRIES = 2  # a task whose worker died is tried once more: it may have been the machine's fault
PATIENCE_S = 5.0


class _Crew(Generic[Task, Result]):
    """The workers, what each is at, and what is left to do."""

    def __init__(
        self, work: Callable[[Task], Result], left: deque[tuple[Task, int]], most: int
    ) -> None:
        # Fresh processes and no forks: libraries with threads do not live through one, and a fork
        # would hold the ends of all other pipes.
        self.context = multiprocessing.get_context("spawn")
        self.work, self.left, self.most = work, left, most
        self.processes: dict[Connection, BaseProcess] = {}
        self.busy: dict[Connection, tuple[Task, int]] = {}

    def refill(self) -> None:
        """Hand tasks out until everybody is busy."""
        while self.left and len(self.busy) < self.most:
            idle = [each for each in self.processes if each not in self.busy]
            pipe = idle[0] if idle else self._started()
            self.busy[pipe] = self.left.popleft()
            with contextlib.suppress(OSError):  # it died meanwhile: its pipe will tell
                pipe.send(self.busy[pipe][0])

    def take(self, pipe: Connection) -> tuple[Task, Result | None, bool]:
        """Return the task that a worker was at, its result, and whether that is the end of it."""
        task, number = self.busy.pop(pipe)
        try:
            return task, pipe.recv(), True
        except (EOFError, OSError):
            self.dismiss(pipe)
        if number < TRIES:
            self.left.append((task, number + 1))
        return task, None, number >= TRIES

    def dismiss(self, pipe: Connection) -> None:
        """End a worker."""
        pipe.close()
        process = self.processes.pop(pipe)
        process.terminate()
        process.join(PATIENCE_S)

    def _started(self) -> Connection:
        ours, theirs = self.context.Pipe()
        process = self.context.Process(target=_serve, args=(theirs, self.work), daemon=True)
        with _deaf():
            process.start()
        theirs.close()
        self.processes[ours] = process
        return ours


def side_by_side(
    work: Callable[[Task], Result], tasks: Sequence[Task], workers: int
) -> Generator[tuple[Task, Result | None], None, None]:
    """Yield each task with its result, in the order in which they are done.

    Parameters
    ----------
    work : callable
        A function of a module. It raises nothing: whatever goes wrong is its result.
    tasks : sequence
    workers : int
        One works in this process.

    Yields
    ------
    task, result
        The result is None for a task over which a worker died more than once.
    """
    with _minded() as mind:
        if workers <= 1:
            for task in tasks:
                yield task, work(task)
                mind()
            return
        crew = _Crew[Any, Any](work, deque((task, 1) for task in tasks), workers)
        try:
            crew.refill()
            while crew.busy:
                for pipe in wait(list(crew.busy)):
                    task, result, over = crew.take(cast("Connection", pipe))
                    crew.refill()  # before the result is looked at, which takes its time
                    if over:
                        yield task, result
                    mind()
        finally:
            for pipe in list(crew.processes):
                crew.dismiss(pipe)


def _serve(pipe: Connection, work: Callable[[Any], Any]) -> None:
    """Work on what comes through a pipe until it ends."""
    with contextlib.suppress(EOFError, OSError):
        while True:
            pipe.send(work(pipe.recv()))


@contextlib.contextmanager
def _minded() -> Iterator[Callable[[], None]]:
    """Yield what stops the run when Ctrl-C came and went unheard.

    Python raises KeyboardInterrupt wherever it is; in a destructor or a callback of a library it is
    printed and forgotten, and the run would go on to the end.
    """
    before = signal.getsignal(signal.SIGINT)
    if before is not signal.default_int_handler or current_thread() is not main_thread():
        yield lambda: None  # somebody else minds it
        return
    came = Event()

    def hear(number: int, frame: FrameType | None) -> None:
        came.set()
        signal.default_int_handler(number, frame)

    def mind() -> None:
        if came.is_set():
            raise KeyboardInterrupt

    signal.signal(signal.SIGINT, hear)
    try:
        yield mind
    finally:
        signal.signal(signal.SIGINT, before)


@contextlib.contextmanager
def _deaf() -> Iterator[None]:
    """Let a process that is started meanwhile not hear Ctrl-C: this one ends it.

    It is held back here and not ignored, so that one that comes just now is heard afterwards.
    """
    if not hasattr(signal, "pthread_sigmask"):  # Windows
        yield
        return
    resource_tracker.ensure_running()  # which lets the signal through when it is started
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
