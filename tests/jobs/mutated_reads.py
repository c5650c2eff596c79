"""Mutants of a good file of each kind, given to the door: a plan on disk, read into a saved site.

A guarded child takes most of a second to start. For thousands of mutants this module, run as a
program, has the libraries loaded and forks where the child would be started; all else is the door
itself. ``python -m tests.jobs.mutated_reads pdf 0 100`` tells what became of the first hundred.
"""

import contextlib
import importlib
import json
import os
import random
import signal
import subprocess
import sys
import tempfile
from dataclasses import asdict, dataclass, field, replace
from functools import partial
from pathlib import Path

from lawnmap.errors import LawnmapError
from lawnmap.files import answer, child, platform
from lawnmap.jobs.read import read
from lawnmap.jobs.reading import Reading
from lawnmap.jobs.start import start
from lawnmap.store.folder import Folder
from lawnmap.store.site import load
from tests.readers import good_files as good
from tests.readers.mutants import SEED, Tally, damaged, mutated

PROGRAM = "tests.jobs.mutated_reads"
ALL = Reading(layers=("*",), skip_bad=True)
METRES = Reading(crs="EPSG:27700")


@dataclass(frozen=True)
class Plan:
    """A good plan, and how it is read.

    Attributes
    ----------
    files : callable
        Returns the plan and its sister files by name; any of them may be changed.
    first : str
        A plan of the sample that is read before, where this one needs a site with zones.
    control : bytes
        A sheet of control points beside it, never changed.
    inside : tuple of str
        What the guarded child imports; nothing for a reader without one.
    driver : str
        The one driver that GDAL may have.
    binary : bool
        In every other mutant all bytes stay where they stand; in text, one piece only is changed.
    """

    files: object
    reading: Reading = field(default=Reading())
    first: str = ""
    control: bytes = b""
    inside: tuple = ()
    driver: str = ""
    binary: bool = False


OGR = ("lawnmap.readers.ogr",)
PARQUET = ("lawnmap.readers.parquet_table",)
DXF = ("lawnmap.readers.dxf.told",)
PICTURE = ("lawnmap.readers.picture.header", "lawnmap.readers.picture.warp")
PDF = ("pypdfium2", "lawnmap.readers.picture.page", "lawnmap.readers.picture.warp")
HEIGHTS = ("lawnmap.readers.picture.header", "lawnmap.readers.height_grid")


def held(name, data):
    return lambda: {name: data}


def of_sample(*names):
    return lambda: good.sample(*names)


def spots():
    """Return the first spot heights: 40 lines say as much as 267."""
    (data,) = good.sample("plans/heights.csv").values()
    return {"heights.csv": b"".join(data.splitlines(keepends=True)[:40])}


PLANS = {
    "geojson": Plan(held("plan.geojson", good.GEOJSON), Reading(skip_bad=True)),
    "kml": Plan(held("plan.kml", good.KML), ALL),
    "kmz": Plan(held("plan.kmz", good.zipped(good.KML)), ALL, binary=True),
    "gpx": Plan(held("plan.gpx", good.GPX), replace(ALL, kind="hedge")),
    "gpx walk": Plan(of_sample("plans/walk.gpx"), replace(ALL, kind="zone")),
    "csv": Plan(held("plan.csv", good.WKT), Reading(skip_bad=True)),
    "csv by rows": Plan(held("plan.csv", good.ROWS), Reading(skip_bad=True)),
    "csv walk": Plan(of_sample("plans/walk.csv"), Reading(kind="zone", skip_bad=True)),
    "tape": Plan(of_sample("plans/tape.csv")),
    "osm": Plan(of_sample("plans/garden.osm"), ALL),
    "height csv": Plan(spots, Reading(kind="height"), "plans/lawns.geojson"),
    "gpkg": Plan(
        of_sample("plan.gpkg"),
        Reading(layers=("zones",)),
        inside=OGR,
        driver="GPKG",
        binary=True,
    ),
    "shp": Plan(good.shapefile, inside=OGR, driver="ESRI Shapefile", binary=True),
    "fgb": Plan(of_sample("plans/garden.fgb"), inside=OGR, driver="FlatGeobuf", binary=True),
    "parquet": Plan(of_sample("plan.parquet"), inside=PARQUET, binary=True),
    "dxf": Plan(of_sample("plans/garden.dxf"), Reading(layers=("LAWN=zone",)), inside=DXF),
    "png": Plan(good.png, METRES, inside=PICTURE, binary=True),
    "jpeg": Plan(good.jpeg, METRES, inside=PICTURE, binary=True),
    "tiff": Plan(good.tiff, inside=PICTURE, binary=True),
    "pdf": Plan(good.pdf, control=good.PAGE_CONTROL, inside=PDF),
    "height tif": Plan(
        of_sample("plans/heights.tif"),
        Reading(),
        "plans/lawns.geojson",
        inside=HEIGHTS,
        binary=True,
    ),
}


class Door:
    """A saved site in a folder, and one plan that is read into it again and again."""

    def __init__(self, kind, folder):
        self.plan = PLANS[kind]
        self.files = self.plan.files()
        self.name = next(iter(self.files))
        self.inbox, self.site = folder / "inbox", Folder(folder / "site")
        self.inbox.mkdir()
        start(self.site.path, title="Invented garden")
        if self.plan.first:
            read(good.SAMPLE / self.plan.first, into=self.site.path)
        self.reading = self.plan.reading
        if self.plan.control:
            sheet = folder / "control.csv"
            sheet.write_bytes(self.plan.control)
            self.reading = replace(self.reading, control=sheet)
        self.before = self.state()
        self.revision = load(self.site).revision

    def mutant(self, number):
        """Return the files of a mutant; each can be made again by its number alone."""
        chance = random.Random(f"{SEED} {number}")
        name = chance.choice(list(self.files))
        data = self.files[name]
        if number % 2 == 0:
            return {**self.files, name: mutated(data, chance)}
        gently = damaged(data, chance) if self.plan.binary else mutated(data, chance, most=1)
        return {**self.files, name: gently}

    def take(self, files):
        """Read a plan into the site, and assert that it is saved whole or was not touched."""
        for name, data in files.items():
            (self.inbox / name).write_bytes(data)
        try:
            reply = read(self.inbox / self.name, self.reading, into=self.site.path)
        except LawnmapError:
            assert self.state() == self.before, "the site was changed by what was refused"
            raise
        except BaseException:
            assert self.state() == self.before, "the site was changed, and that by a fault"
            raise
        if reply.saved:
            assert load(self.site).revision == self.revision + 1
            self.restore()
        else:
            assert self.state() == self.before

    def state(self):
        """Return every file of the site with its bytes."""
        paths = (path for path in self.site.path.rglob("*") if path.is_file())
        return {path.relative_to(self.site.path): path.read_bytes() for path in paths}

    def restore(self):
        """Put the site back to what it was before it was saved."""
        now = self.state()
        for name in now.keys() - self.before.keys():
            (self.site.path / name).unlink()
        for name, data in self.before.items():
            if now.get(name) != data:
                (self.site.path / name).write_bytes(data)

    def tally(self, numbers):
        """Return what became of the mutants of these numbers, after the good file was read."""
        self.take(self.files)
        tally = Tally()
        for number in numbers:
            tally.add(number, partial(self.take, self.mutant(number)))
        return tally


def tally(kind, numbers):
    """Return what became of mutants at the door as it is, guarded child and all."""
    with tempfile.TemporaryDirectory() as name:
        return Door(kind, Path(name)).tally(numbers)


def forked_tally(kind, numbers):
    """Return what became of mutants with forks for children, worked out in a program of its own."""
    environment = {**child.ENVIRONMENT, **os.environ}
    if PLANS[kind].driver:
        from lawnmap.readers import gpkg_schema, ogr

        skipped = sorted(ogr.drivers() - {PLANS[kind].driver})
        environment |= {"OGR_SKIP": ",".join(skipped), "OGR_ARC_STEPSIZE": ogr.ARC_DEG}
        environment |= gpkg_schema.ENVIRONMENT
    done = subprocess.run(
        [sys.executable, "-m", PROGRAM, kind, str(numbers.start), str(numbers.stop)],
        cwd=good.SAMPLE.parent,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr[-2000:]
    return Tally(**json.loads(done.stdout.splitlines()[-1]))


def fork(function, files=None, arguments=None, **_):
    """Do what :func:`lawnmap.files.child.run` does, but in a fork of this process."""
    allowance = answer.Allowance()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for each, data in (files or {}).items():
            (folder / each).write_bytes(data)
        told = folder / "answer.json"
        pid = os.fork()
        if pid == 0:
            _answer(folder, told, {"function": function, "arguments": arguments or {}}, allowance)
        code = os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1])
        stopped = "time" if code == -signal.SIGALRM else ""
        return child._understood(told, stopped, code, allowance)


def _answer(folder, told, request, allowance):
    """Write the answer and end, whatever happens. Runs in the fork."""
    code = 1
    with contextlib.suppress(BaseException):
        os.chdir(folder)
        signal.setitimer(signal.ITIMER_REAL, allowance.wall_s)
        platform.limit_process(
            cpu_s=allowance.cpu_s,
            memory_bytes=allowance.memory_bytes,
            file_bytes=allowance.output_bytes,
        )
        nowhere = os.open(os.devnull, os.O_WRONLY)
        for stream in (1, 2):
            os.dup2(nowhere, stream)
        told.write_bytes(answer._answered(request, allowance))
        code = 0
    os._exit(code)


def main():
    kind, first, end = sys.argv[1], *map(int, sys.argv[2:])
    for module in PLANS[kind].inside:
        importlib.import_module(module)
    child.run = fork
    sys.stdout.write(json.dumps(asdict(tally(kind, range(first, end)))))


if __name__ == "__main__":
    main()
