"""Command lines of the fresh environment without the price of a start: each is a fork.

As a program of that environment it reads one request a line: a folder, what to set in the
environment, and the words; it answers with code, output and what was said. Only third-party
libraries stand ready: lawnmap and its plugins are imported by each run anew, as they are installed
at that moment.
"""

import importlib
import json
import os
import sys
import tempfile
import traceback
from pathlib import Path

READY = ("geopandas", "pyogrio", "shapely.ops", "folium", "click", "fpdf", "json")


def run(folder, environment, words):
    """Be the command line, as the script that pip makes is."""
    os.chdir(folder)
    os.environ.update(environment)
    importlib.invalidate_caches()
    from lawnmap.cli.main import run as lawnmap

    lawnmap(words)


def forked(folder, environment, words):
    """Return what became of one command line."""
    with tempfile.TemporaryDirectory() as scratch:
        names = [Path(scratch, name) for name in ("out", "err")]
        pid = os.fork()
        if pid == 0:
            code = 1
            try:
                for number, name in enumerate(names, 1):
                    os.dup2(os.open(name, os.O_WRONLY | os.O_CREAT), number)
                sys.stdout, sys.stderr = (open(n, "w", closefd=False) for n in (1, 2))  # noqa: SIM115
                run(folder, environment, words)
            except SystemExit as left:
                code = left.code if isinstance(left.code, int) else 1
            except BaseException:  # noqa: BLE001 - as the interpreter does it
                traceback.print_exc()
            sys.stdout.flush()
            sys.stderr.flush()
            os._exit(code)
        _, status, spent = os.wait4(pid, 0)
        if os.environ.get("OUTSIDE_TIMES"):
            sys.stderr.write(f"{spent.ru_utime + spent.ru_stime:.2f} {words}\n")
        out, err = (name.read_text(encoding="utf-8") for name in names)
    return {"code": os.waitstatus_to_exitcode(status), "out": out, "err": err}


def serve():
    """Answer requests until there are none."""
    for name in READY:
        importlib.import_module(name)
    assert not [name for name in sys.modules if name.startswith("lawnmap")]
    said = os.fdopen(os.dup(1), "w")
    for line in sys.stdin:
        said.write(json.dumps(forked(**json.loads(line))) + "\n")
        said.flush()


if __name__ == "__main__":
    serve()
