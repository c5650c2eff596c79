"""Run the command line as a person does, in a process of its own or in this one."""

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import NamedTuple

SAMPLE = Path(__file__).parents[2] / "sample_geo"


class Outcome(NamedTuple):
    """What a command left behind."""

    code: int
    out: str
    err: str

    @property
    def json(self):
        """The JSON document on standard output."""
        return json.loads(self.out)


def run(*arguments, stdin=None, **environment):
    """Run ``lawnmap`` in a fresh process."""
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
