"""One fresh environment for all tests of outside packages.

What lawnmap stands on is lent by a path file, since no network is needed then; lawnmap and the
packages are built, and installed by pip, as everybody's are.
"""

from __future__ import annotations

import hashlib
import json
import os
import subprocess
import sys
import sysconfig
from pathlib import Path

import pytest

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[1]
PACKAGES = {"lawnmap": ROOT, **{name: HERE / name for name in ("meadow", "thistle", "twin")}}
OURS = ("lawnmap", "_lawnmap", "_editable_impl_lawnmap", "__editable__")


class Place:
    """A fresh environment, and the command lines that are run in it."""

    def __init__(self, folder):
        self.folder, self.wheels = folder, folder / "wheels"
        subprocess.run([sys.executable, "-m", "venv", "--without-pip", folder / "env"], check=True)
        self.bin = folder / "env" / "bin"
        (self.site,) = (folder / "env" / "lib").glob("python*/site-packages")
        self._lend()
        self._server = None

    def _lend(self):
        lent = self.folder / "lent"
        lent.mkdir()
        for path in Path(sysconfig.get_paths()["purelib"]).iterdir():
            if not path.name.startswith(OURS) and path.suffix != ".pth":
                (lent / path.name).symlink_to(path)
        (self.site / "lent.pth").write_text(f"{lent}\n", encoding="utf-8")

    def built(self, name):
        """Return the wheel of a package, built from its own pyproject.toml."""
        subprocess.run(
            [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", self.wheels],
            cwd=PACKAGES[name],
            check=True,
            capture_output=True,
        )
        named = name if name == "lawnmap" else f"lawnmap_{name}"
        return next(self.wheels.glob(f"{named}-*.whl"))

    def pip(self, *words):
        subprocess.run(
            [sys.executable, "-m", "pip", "--python", self.bin / "python",
             "--disable-pip-version-check", "-q", *words],
            check=True,
            env={**os.environ, "PIP_NO_INDEX": "1", "PIP_NO_COMPILE": "1"},
        )  # fmt: skip

    def install(self, *names):
        self.pip("install", *map(self.built, names))

    def uninstall(self, *names):
        self.pip("uninstall", "-y", *names)

    def digests(self):
        """Return the digest of every file that pip installed for lawnmap, by its path."""
        (record,) = self.site.glob("lawnmap-*.dist-info/RECORD")
        names = [line.split(",")[0] for line in record.read_text(encoding="utf-8").splitlines()]
        return {name: hashlib.sha256((self.site / name).read_bytes()).hexdigest() for name in names}

    def __call__(self, *words, code=0, **environment):
        """Run a command line in the folder of the environment and check its exit code."""
        if self._server is None:
            self._server = subprocess.Popen(
                [self.bin / "python", "-P", HERE / "forks.py"],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                text=True,
                env=clean(),
            )
        asked = {"folder": str(self.folder), "environment": environment, "words": words}
        self._server.stdin.write(json.dumps(asked, default=str) + "\n")
        self._server.stdin.flush()
        done = json.loads(self._server.stdout.readline())
        assert "Traceback" not in done["err"], done["err"]
        assert done["code"] == code, done["err"]
        return Told(**done)

    def close(self):
        if self._server is not None:
            self._server.stdin.close()
            self._server.wait(60)
            self._server.stdout.close()


class Told:
    """What became of a command line."""

    def __init__(self, code, out, err):
        self.code, self.out, self.err = code, out, err

    @property
    def result(self):
        """The result of ``--json``, which stands on standard output by itself."""
        return json.loads(self.out)["result"]


def clean():
    """Return an environment in which nothing of this test run is found."""
    left_out = ("PYTHONPATH", "PYTHONHOME", "PYTHONDONTWRITEBYTECODE", "COVERAGE_PROCESS_START")
    return {name: value for name, value in os.environ.items() if name not in left_out}


@pytest.fixture(scope="session")
def place(tmp_path_factory):
    """Return the environment with lawnmap alone in it."""
    made = Place(tmp_path_factory.mktemp("outside"))
    made.install("lawnmap")
    yield made
    made.close()
