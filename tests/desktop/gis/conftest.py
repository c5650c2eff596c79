"""A GIS without a window, with our plugin from a profile that ``lawnmap desktop install`` filled.

It is Debian's, in the system's own Python; ``LAWNMAP_GIS_PYTHON`` names another. One process does
for most tests, since its start takes seconds.
"""

import contextlib
import json
import os
import shutil
import subprocess
import uuid
from pathlib import Path

import pytest

from tests.cli.runner import SAMPLE, run

PYTHON = os.environ.get("LAWNMAP_GIS_PYTHON", "/usr/bin/python3")
PLAN = SAMPLE / "plan.gpkg"
TODAY = "2026-08-20"
TAG = "LAWNMAP_TEST_TAG"  # in the environment of the GIS and of whatever it starts


class Fault(Exception):
    """The driver itself failed."""


class Gis:
    """A GIS as a process, told what to do line by line."""

    def __init__(self, profile, room, **environment):
        self.room, self.tag = room, uuid.uuid4().hex
        for name in ("home", "run", "tmp"):
            (room / name).mkdir(mode=0o700)
        self.said = (room / "said").open("w", encoding="utf-8")
        self.process = subprocess.Popen(
            [PYTHON, Path(__file__).with_name("driver.py"), profile],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=self.said,
            text=True,
            env={
                "PATH": "/usr/bin:/bin",
                "LANG": "C.UTF-8",
                "HOME": str(room / "home"),
                "XDG_RUNTIME_DIR": str(room / "run"),
                "TMPDIR": str(room / "tmp"),
                "QT_QPA_PLATFORM": "offscreen",
                TAG: self.tag,
                **environment,
            },
        )

    def __getattr__(self, do):
        """Return what has the driver do one thing."""
        return lambda *of, **given: self.ask(
            do, dict(zip(ORDER.get(do, ()), of, strict=False)) | given
        )

    def ask(self, do, given):
        try:
            self.process.stdin.write(json.dumps({"do": do, "with": given}) + "\n")
            self.process.stdin.flush()
            line = self.process.stdout.readline()
        except OSError:
            line = ""
        if not line:
            raise Fault((self.room / "said").read_text(errors="replace")[-3000:])
        told = json.loads(line)
        if "fault" in told:
            raise Fault(told["fault"])
        return told["value"]

    def step(self, name, **parameters):
        """Run a step that must go well, and return its results."""
        done = self.run(name, parameters)
        assert done["problem"] is None, done
        return done["outputs"]

    def refused(self, name, **parameters):
        """Run a step that must not go well, and return what a person is shown."""
        done = self.run(name, parameters)
        assert done["problem"], done
        assert done["outputs"] == {}
        assert done["added"] == []
        return done["problem"]

    def started(self):
        """Return the processes that it started and that are still there."""
        found = []
        for place in Path("/proc").glob("[0-9]*"):
            with contextlib.suppress(OSError):
                ours = f"{TAG}={self.tag}".encode() in (place / "environ").read_bytes()
                if ours and int(place.name) != self.process.pid:
                    found.append((place / "cmdline").read_bytes().replace(b"\0", b" ").decode())
        return [each for each in found if each]

    def left(self):
        """Return what of lawnmap lies in the folder for what passes."""
        return sorted(
            path.relative_to(self.room / "tmp").as_posix()
            for path in (self.room / "tmp").rglob("*")
            if "lawnmap" in path.name.lower() or path.suffix in {".gpkg", ".geojson", ".toml"}
        )

    def end(self):
        self.process.stdin.close()
        with contextlib.suppress(subprocess.TimeoutExpired):
            self.process.wait(20)
        self.process.kill()
        self.process.wait()
        self.process.stdout.close()
        self.said.close()


ORDER = {
    "run": ("step", "parameters", "stop_at"),
    "layer": ("name", "source"),
    "select": ("name", "where"),
    "shown": ("name",),
    "drawn": ("name", "crs", "fields", "rows"),
    "selected": ("name",),
    "part": ("name", "kind"),
    "saved": ("name", "path"),
    "transformed": ("name", "source", "crs"),
}


@pytest.fixture(scope="session")
def room(tmp_path_factory):
    return tmp_path_factory.mktemp("gis")


@pytest.fixture(scope="session")
def profile(room):
    """Return a profile with our plugin, put there as a person does."""
    path = room / "QGIS" / "QGIS3" / "profiles" / "grounds office ü"
    path.mkdir(parents=True)
    done = run("desktop", "install", "--profile", path)
    assert done.code == 0, done.err
    return path


@pytest.fixture(scope="session")
def gis(profile, room):
    """Return the GIS with the sample's layers ``zones`` and ``features`` open in it."""
    (room / "one").mkdir()
    made = Gis(profile, room / "one")
    try:
        told = made.start()
        assert told["started"], (told, (made.room / "said").read_text())
        made.layer("zones", f"{PLAN}|layername=zones")
        made.layer("features", f"{PLAN}|layername=features")
        yield made
    finally:
        made.end()


@pytest.fixture(scope="session")
def choices(room):
    """Return a site folder with the sample's choices and cards, and nothing drawn in it."""
    path = room / "choices"
    assert run("start", path, "--title", "Sample lawn").code == 0
    for name in ("specification.toml", "products.toml"):
        shutil.copy(SAMPLE / "site" / name, path / name)
    return path


@pytest.fixture(scope="session")
def site(room, choices):
    """Return the site that the command line makes of the same layers."""
    path = Path(shutil.copytree(choices, room / "site"))
    for layer in ("zones", "features"):
        done = run("read", PLAN, "--layer", layer, "--into", path)
        assert done.code == 0, done.err
    return path


def differing(found, told, theirs=()):
    """Return every cell of ours that is not what the command line says, to the last digit.

    Columns that the layer had itself stay as they were, and are in `theirs`.
    """
    rows = {row["zone_id"]: row for row in found["rows"]}
    assert len(rows) == len(found["rows"])
    assert list(rows) == [row["zone_id"] for row in told]
    return {
        (row["zone_id"], name): (rows[row["zone_id"]].get(name, "no such field"), value)
        for row in told
        for name, value in row.items()
        if name not in theirs and rows[row["zone_id"]].get(name, "no such field") != value
    }


@pytest.fixture(scope="session")
def lawnmap(site):
    """Return what a command prints for that site, as its JSON has it."""

    def asked(command, *arguments):
        done = run(command, site, *arguments, "--json")
        assert done.code == 0, done.err
        return done.json["result"]

    return asked
