"""Runs of ``lawnmap`` without the price of a start: the libraries stand ready, each run is a fork.

As a program it reads one request a line from standard input and answers with one line each: what
the system says of the run. Nothing is set for the run but its folder, its three streams and, if
asked for, its environment. A run with a program is a new process of its own: from here, since the
system counts what its parent holds at that moment as memory of it, and a long test run holds a lot.
"""

import contextlib
import gc
import importlib
import json
import os
import pkgutil
import signal
import subprocess
import sys
import time
from functools import cache
from pathlib import Path

import lawnmap
from lawnmap.cli import main

# By the clock, on a machine that has much else to do; a guarded child is stopped after 30 s. No run
# may take so long, so that a hang does not stop the set.
HOLD_S = 60
FLAGS = (os.O_RDONLY, os.O_WRONLY | os.O_CREAT, os.O_WRONLY | os.O_CREAT)
HOUSE = Path(__file__).parents[1]
SAMPLE = HOUSE / "sample_geo" / "site"
# What reads a file into a site; a run is not charged with the memory of what it has no use for.
READING = (
    "lawnmap.cli.read",
    "lawnmap.cli.reading_text",
    "lawnmap.cli.told",
    "lawnmap.jobs.control",
    "lawnmap.jobs.export",
    "lawnmap.jobs.layers",
    "lawnmap.jobs.measure",
    "lawnmap.jobs.opening",
    "lawnmap.jobs.place",
    "lawnmap.jobs.read",
    "lawnmap.readers.csv_table",
    "lawnmap.readers.dxf.reader",
    "lawnmap.readers.geojson",
    "lawnmap.readers.geopackage",
    "lawnmap.readers.geoparquet",
    "lawnmap.readers.gpx",
    "lawnmap.readers.kmz",
    "lawnmap.readers.osm.reader",
    "lawnmap.readers.picture.pdf",
    "lawnmap.readers.picture.reader",
    "lawnmap.readers.tape.reader",
)


class Forks:
    """A process that forks runs, started when first asked; it ends when its standard input does."""

    def __init__(self, ready, environment=None):
        self.ready, self.environment = ready, environment
        self.process = None

    def ran(self, request):
        """Have one run made; return what the system says of it."""
        if self.process is None:
            self.process = subprocess.Popen(
                [sys.executable, "-m", "tests.forks", self.ready],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                text=True,
                encoding="utf-8",
                cwd=HOUSE,
                env=self.environment,
            )
        self.process.stdin.write(json.dumps(request) + "\n")
        self.process.stdin.flush()
        return json.loads(self.process.stdout.readline())

    def close(self):
        """End the process."""
        if self.process is not None:
            self.process.communicate(timeout=60)


@cache
def whole(**start):
    """Return the one of this test process that has all of lawnmap ready; `start` is set for it."""
    return Forks("whole", {**os.environ, **start})


def everything():
    """Return the modules of lawnmap but for those of its engine, of another program and of a child.

    They start too much; and what reads drawings keeps a list of fonts in the home folder.
    """
    return [
        each.name
        for each in pkgutil.walk_packages(lawnmap.__path__, "lawnmap.")
        if not {"__main__", "desktop", "engine", "dxf"} & set(each.name.split("."))
    ]


def run(words, cwd, streams, program=None, environment=None):
    """Be the run: the command line in a folder, and the end of this process."""
    os.chdir(cwd)
    if environment is not None:
        os.environ.clear()
        os.environ.update(environment)
    for number, (name, flags) in enumerate(zip(streams, FLAGS, strict=True)):
        handle = os.open(name, flags, 0o600)
        os.dup2(handle, number)
        os.close(handle)
    if program:
        os.execv(program, [program, *words])  # noqa: S606 - the very command that a person types
    # As a fresh interpreter has them: text in UTF-8 over the three streams.
    sys.stdin, sys.stdout, sys.stderr = (
        open(number, mode, encoding="utf-8", errors=errors, closefd=False)  # noqa: SIM115
        for number, mode, errors in (
            (0, "r", "strict"), (1, "w", "strict"), (2, "w", "backslashreplace")
        )
    )  # fmt: skip
    code = 1
    try:
        main.run(words)
    except SystemExit as left:
        code = left.code if isinstance(left.code, int) else 1
    except BaseException:  # noqa: BLE001 - as the interpreter does it; the judge looks for it
        sys.excepthook(*sys.exc_info())
    for stream in (sys.stdout, sys.stderr):
        with contextlib.suppress(OSError):
            stream.flush()
    os._exit(code)


def forked(request):
    """Return what the system says of one run."""
    began = time.monotonic()
    pid = os.fork()
    if pid == 0:
        run(**request)
    return waited(pid, began)


def waited(pid, began):
    """Wait for a process, but no longer than may be; return code, signal, times and memory."""

    def stop(*_):
        with contextlib.suppress(ProcessLookupError):
            os.kill(pid, signal.SIGKILL)

    signal.signal(signal.SIGALRM, stop)
    signal.alarm(HOLD_S)
    _, status, used = os.wait4(pid, 0)
    signal.alarm(0)
    code = os.waitstatus_to_exitcode(status)
    return {
        "code": max(code, 0),
        "signal": max(-code, 0),
        "wall_s": time.monotonic() - began,
        "cpu_s": used.ru_utime + used.ru_stime,
        "memory_mb": used.ru_maxrss / 1024,  # KiB on Linux: getrusage(2)
    }


def prepare(ready):
    """Load what runs need; with the whole, plan the sample: its pass lines are then known."""
    for name in READING if ready == "reading" else everything():
        importlib.import_module(name)
    if ready == "whole":
        with (
            Path(os.devnull).open("w", encoding="utf-8") as nowhere,
            contextlib.redirect_stdout(nowhere),
            contextlib.redirect_stderr(nowhere),
            contextlib.suppress(SystemExit),
        ):
            main.run(["plan", str(SAMPLE), "--today", "2026-08-01"])


def serve(ready):
    """Answer requests until there are none."""
    prepare(ready)
    gc.freeze()
    said = os.fdopen(os.dup(1), "w")
    for line in sys.stdin:
        said.write(json.dumps(forked(json.loads(line))) + "\n")
        said.flush()


if __name__ == "__main__":
    serve(sys.argv[1])
