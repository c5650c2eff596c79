"""Run the command line as a person does, in a process of its own or in this one."""

import contextlib
import io
import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import NamedTuple

from tests import forks

SAMPLE = Path(__file__).parents[2] / "sample_geo"
LONG = os.environ.get("LAWNMAP_LONG") == "1"
AT_START = ("PYTHON", "LC_", "LANG", "TZ")


class Outcome(NamedTuple):
    """What a command left behind."""

    code: int
    out: str
    err: str

    @property
    def json(self):
        """The JSON document on standard output."""
        return json.loads(self.out)


def here(*arguments, encoding="utf-8"):
    """Run ``lawnmap`` in this process: starting another takes longer than most of what it does.

    What it says must be of the encoding's letters.
    """
    from lawnmap.cli.main import run as lawnmap

    code, streams = 0, [io.TextIOWrapper(io.BytesIO(), encoding=encoding) for _ in range(2)]
    with contextlib.redirect_stdout(streams[0]), contextlib.redirect_stderr(streams[1]):
        try:
            lawnmap([str(each) for each in arguments])
        except SystemExit as leaving:
            code = int(leaving.code or 0)
    for each in streams:
        each.flush()
    return Outcome(code, *(each.buffer.getvalue().decode(encoding) for each in streams))


def run(*arguments, stdin=None, **environment):
    """Run ``lawnmap`` in a process of its own: a fork of one that has the libraries loaded.

    ``LAWNMAP_LONG=1`` makes it a new process, as does an environment that Python reads at its
    start, but for the seed of hashes: a process with another one is kept beside the first.
    """
    start = {name: text for name, text in environment.items() if name.startswith(AT_START)}
    if LONG or not hasattr(os, "fork") or start.keys() - {"PYTHONHASHSEED"}:
        return fresh(*arguments, stdin=stdin, **environment)
    with tempfile.TemporaryDirectory(prefix="lawnmap-run-") as folder:
        streams = [Path(folder) / name for name in ("in", "out", "err")]
        streams[0].write_bytes(stdin or b"")
        told = forks.whole(**start).ran(
            {
                "words": [str(each) for each in arguments],
                "cwd": str(Path.cwd()),
                "streams": [str(each) for each in streams],
                "environment": {**os.environ, **environment},
            }
        )
        said = [each.read_bytes().decode("utf-8", "replace") for each in streams[1:]]
    return Outcome(-told["signal"] or told["code"], *said)


def fresh(*arguments, stdin=None, **environment):
    """Run ``lawnmap`` in a new process."""
    done = subprocess.run(
        [sys.executable, "-m", "lawnmap", *map(str, arguments)],
        input=stdin,
        capture_output=True,
        env={**os.environ, **environment},
        timeout=120,
        check=False,
    )
    return Outcome(
        done.returncode,
        done.stdout.decode("utf-8", "replace"),
        done.stderr.decode("utf-8", "replace"),
    )
