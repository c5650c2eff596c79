"""The command ``lawnmap`` as a process of its own: started, listened to, stopped, answered.

Standard library only, so that it is tested without the GIS. No shell, the environment cleaned, both
pipes emptied by threads of their own, progress heard as it comes, and an end to everything within a
fraction of a second when a person stops the step.
"""

from __future__ import annotations

import contextlib
import json
import os
import queue
import re
import signal
import subprocess
import threading
import time
from collections.abc import Sequence
from pathlib import Path
from typing import IO, Any, Callable, NamedTuple

from .environment import cleaned
from .problem import INSTALL, Problem, Refused, Stopped

POLL_S = 0.1  # how long a person who stopped the step waits to be heard
POLITE_S = 0.3  # for lawnmap to end its own children and leave; then it is ended
LONGEST_S = 3600.0
DRAIN_S = 5.0  # for what is left in the pipes of a process that has ended
MOST_BYTES = 1 << 30
LINE = 1 << 16
CONTRACT = 1  # of the JSON, see docs/commands/index.md
PROGRESS = re.compile(r"progress (\d{1,3}) ?(.*)")
SAID = "lawnmap: "
TAIL = 3  # lines of a process that died without a word of ours

Heard = Callable[[int, str], None]  # percent that is done, and what begins


class Ended(NamedTuple):
    """A process that has ended: its exit code, what it printed, and what it said beside that."""

    code: int
    output: bytes
    said: list[str]


class Answer(NamedTuple):
    """What a command answered: its result, its notes, and the version of lawnmap."""

    result: Any
    warnings: list[str]
    version: str


def unheard(percent: int, what: str) -> None:
    """Tell nobody."""
    del percent, what


def never() -> bool:
    """Never stop."""
    return False


def ask(
    arguments: Sequence[str],
    *,
    folder: Path,
    heard: Heard = unheard,
    cancelled: Callable[[], bool] = never,
    seconds: float = LONGEST_S,
) -> Answer:
    """Run a command that prints JSON, and return what it answered.

    Parameters
    ----------
    arguments : sequence of str
        The program and all that is told to it; ``--json`` among it.
    folder : Path
        Where it works.
    heard : callable
        Hears how far it is.
    cancelled : callable
        Asked several times a second whether to stop.
    seconds : float
        The longest it may take [s].

    Raises
    ------
    Refused
        With lawnmap's own message.
    Stopped
        When it was stopped; it and its children have ended.
    Problem
        When it cannot be started, takes too long, or ends without an answer.
    """
    ended = run(arguments, folder=folder, heard=heard, cancelled=cancelled, seconds=seconds)
    told = _parsed(ended.output)
    if ended.code or "error" in told:
        raise _refused(ended, told)
    program = told.get("lawnmap", {})
    if program.get("json") != CONTRACT or "result" not in told:
        raise Problem(
            "lawnmap answered in another form than this plugin knows",
            remedy=f"Run {INSTALL} again, so that the plugin is that of your lawnmap.",
        )
    return Answer(told["result"], list(told.get("warnings", ())), str(program.get("version", "")))


def run(
    arguments: Sequence[str],
    *,
    folder: Path,
    heard: Heard = unheard,
    cancelled: Callable[[], bool] = never,
    seconds: float = LONGEST_S,
) -> Ended:
    """Run a command to its end; see :func:`ask`."""
    process = _started(arguments, folder)
    try:
        return _listened(process, heard, cancelled, time.monotonic() + seconds)
    except BaseException:
        stop(process)
        raise
    finally:
        for pipe in (process.stdout, process.stderr):
            with contextlib.suppress(OSError):
                pipe.close()  # type: ignore[union-attr]


def stop(process: subprocess.Popen[bytes]) -> None:
    """End a process and its children, and wait until it is gone."""
    if os.name == "nt":
        _taskkill(process.pid)
    else:
        # Asked first, so that it ends the guarded children, which are in groups of their own.
        for sign, patience in ((signal.SIGINT, POLITE_S), (signal.SIGKILL, 0.0)):
            with contextlib.suppress(ProcessLookupError, PermissionError):
                os.killpg(process.pid, sign)
            with contextlib.suppress(subprocess.TimeoutExpired):
                process.wait(patience)
    process.kill()
    process.wait()


def _taskkill(pid: int) -> None:
    system = Path(os.environ.get("SYSTEMROOT", "C:\\Windows"), "System32", "taskkill.exe")
    with contextlib.suppress(OSError, subprocess.SubprocessError):
        subprocess.run(  # noqa: S603 - a program of the system, and a number
            [str(system), "/T", "/F", "/PID", str(pid)],
            stdin=subprocess.DEVNULL,
            capture_output=True,
            timeout=DRAIN_S,
            check=False,
            creationflags=_no_window(),
        )


def _no_window() -> int:
    return int(getattr(subprocess, "CREATE_NO_WINDOW", 0))


def _started(arguments: Sequence[str], folder: Path) -> subprocess.Popen[bytes]:
    try:
        return subprocess.Popen(  # noqa: S603 - what the command wrote that put us here
            list(arguments),
            cwd=str(folder),
            env=cleaned(os.environ),
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            start_new_session=True,
            creationflags=_no_window(),
        )
    except (OSError, ValueError) as error:
        raise Problem(
            f"cannot be started ({getattr(error, 'strerror', None) or error})",
            file=str(arguments[0]),
            remedy=f"Run {INSTALL} again in the environment that holds lawnmap.",
        ) from error


class _Printed(threading.Thread):
    """Empties standard output, however much there is."""

    def __init__(self, pipe: IO[bytes]) -> None:
        super().__init__(daemon=True)
        self._pipe = pipe
        self._parts: list[bytes] = []
        self.size = 0
        self.start()

    def run(self) -> None:
        with contextlib.suppress(OSError, ValueError):
            for part in iter(lambda: self._pipe.read1(LINE), b""):  # type: ignore[attr-defined]
                self.size += len(part)
                if self.size <= MOST_BYTES:
                    self._parts.append(part)

    def all(self) -> bytes:
        """Return what was printed."""
        return b"".join(self._parts)


class _Lines(threading.Thread):
    """Empties standard error line by line, as the lines come."""

    def __init__(self, pipe: IO[bytes]) -> None:
        super().__init__(daemon=True)
        self._pipe = pipe
        self.found: queue.SimpleQueue[str] = queue.SimpleQueue()
        self.start()

    def run(self) -> None:
        with contextlib.suppress(OSError, ValueError):
            for line in iter(lambda: self._pipe.readline(LINE), b""):
                self.found.put(line.decode("utf-8", "replace").rstrip("\r\n"))


def _listened(
    process: subprocess.Popen[bytes],
    heard: Heard,
    cancelled: Callable[[], bool],
    until: float,
) -> Ended:
    printed, lines = _Printed(process.stdout), _Lines(process.stderr)  # type: ignore[arg-type]
    said: list[str] = []
    drained = 0.0
    while True:
        gone = process.poll() is not None
        if cancelled():
            raise Stopped
        if time.monotonic() > until:
            raise Problem("lawnmap took too long and was stopped", remedy="Take fewer zones.")
        if printed.size > MOST_BYTES:
            raise Problem("lawnmap printed more than can be taken in", remedy="Take fewer zones.")
        if gone and not drained:
            drained = time.monotonic() + DRAIN_S
        if _heard(lines.found, heard, said):
            continue
        quiet = not (printed.is_alive() or lines.is_alive())
        # Somebody whom it left behind may hold its pipes open for ever.
        if gone and (quiet or time.monotonic() > drained):
            _heard(lines.found, heard, said)
            return Ended(process.returncode, printed.all(), said)


def _heard(lines: queue.SimpleQueue[str], heard: Heard, said: list[str]) -> bool:
    """Take one line, if one comes; tell whether one came."""
    try:
        line = lines.get(timeout=POLL_S)
    except queue.Empty:
        return False
    found = PROGRESS.fullmatch(line)
    if found:
        heard(min(int(found.group(1)), 100), found.group(2))
    else:
        said.append(line)
    return True


def _parsed(output: bytes) -> Any:
    try:
        told = json.loads(output.decode("utf-8")) if output.strip() else {}
    except ValueError:
        return {}
    return told if isinstance(told, dict) else {}


def _refused(ended: Ended, told: Any) -> Problem:
    """Return the message of a command that failed: its own, or what is known of its end."""
    own = [line[len(SAID) :] for line in ended.said if line.startswith(SAID)]
    error = told.get("error", {})
    if own:
        return Refused(own[-1], file=str(error.get("file", "")), code=ended.code)
    if error.get("problem"):
        parts = {name: str(error.get(name, "")) for name in ("file", "place", "remedy")}
        return Problem(str(error["problem"]), **parts)
    last = " / ".join(line for line in ended.said[-TAIL:] if line.strip())
    how = f"signal {-ended.code}" if ended.code < 0 else f"exit code {ended.code}"
    return Problem(
        f"lawnmap ended without an answer ({how}{': ' + last if last else ''})",
        remedy=f"Try it in a terminal: lawnmap about. If it is gone, install it and run {INSTALL}.",
    )
