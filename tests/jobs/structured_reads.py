"""Plans that are nearly right, given to the door: read into a saved site, or refused in words.

What is read has to be sound, to be saved, and to be loaded as it was. Kinds that a guarded child
reads are worked in a program of their own, where a fork stands for the child
(:mod:`tests.jobs.mutated_reads`): ``python -m tests.jobs.structured_reads dxf 100``.
"""

import importlib
import json
import math
import os
import subprocess
import sys
import tempfile
import time
import warnings
from dataclasses import asdict, dataclass, field, replace
from pathlib import Path

import numpy as np
import pandas as pd
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lawnmap.errors import LawnmapError
from lawnmap.files import child
from lawnmap.geometry import ellipsoid
from lawnmap.jobs.read import read
from lawnmap.jobs.reading import Reading
from lawnmap.jobs.start import start
from lawnmap.store.folder import Folder
from lawnmap.store.site import load
from tests.jobs.mutated_reads import DXF, OGR, PARQUET, PDF, PICTURE, fork
from tests.readers import good_files as good
from tests.readers.mutants import LONG, unforeseen
from tests.readers.structures import drawings, layers, pictures, texts

PROGRAM = "tests.jobs.structured_reads"
SLOW_S = 5.0
STANDING = (1.9, 53.4)  # what the site holds lies here, and so do most plans of our making


@dataclass(frozen=True)
class Made:
    """How plans of one kind are made and read.

    Attributes
    ----------
    files : strategy
        Of files by name, the plan first; or of the bytes of the plan alone.
    name : str
        Of the plan, where there are bytes only.
    reading : Reading
    kinds : tuple
        What ``--as`` may say.
    placed : bool
        Whether it is read into a site that has zones on the earth, else into an empty one.
    inside, driver
        As in :class:`tests.jobs.mutated_reads.Plan`.
    """

    files: st.SearchStrategy
    name: str = ""
    reading: Reading = field(default=Reading())
    kinds: tuple = (None,)
    placed: bool = True
    inside: tuple = ()
    driver: str = ""


ALL = Reading(layers=("*",))
MADE = {
    "geojson": Made(texts.geojson(), "plan.geojson"),
    "kml": Made(texts.kml(), "plan.kml", ALL, kinds=("hedge", "zone", None)),
    "kmz": Made(texts.kmz(), "plan.kmz", ALL, kinds=("hedge", "zone", None)),
    "gpx": Made(texts.gpx(), "plan.gpx", ALL, kinds=("hedge", "zone", "drain")),
    "csv, outlines": Made(texts.csv_wkt(), "plan.csv"),
    "csv, points": Made(texts.csv_points(), "plan.csv", kinds=(None, "drain")),
    "csv, corners": Made(texts.csv_rows(), "plan.csv"),
    "csv, heights": Made(texts.spot_heights(), "plan.csv", Reading(kind="height"), ("height",)),
    "tape": Made(texts.tape(), "plan.csv", placed=False),
    "osm": Made(texts.osm(), "plan.osm", ALL),
    "dxf": Made(drawings.dxf(), "plan.dxf", ALL, ("zone", "hedge", None), placed=False, inside=DXF),
    "gpkg": Made(layers.gpkg(), kinds=("tree", None), reading=ALL, inside=OGR, driver="GPKG"),
    "shp": Made(layers.shp(), kinds=("tree", None), inside=OGR, driver="ESRI Shapefile"),
    "fgb": Made(layers.fgb(), kinds=("tree", None), inside=OGR, driver="FlatGeobuf"),
    "parquet": Made(layers.parquet(), kinds=("tree", None), inside=PARQUET),
    "pictures": Made(pictures.pictures(), reading=Reading(crs="EPSG:27700"), inside=PICTURE),
    "pdf": Made(pictures.pdf(), inside=PDF),
}
INSIDE = [kind for kind, made in MADE.items() if not made.inside]
GUARDED = [kind for kind, made in MADE.items() if made.inside]


@dataclass
class Counts:
    """What became of plans: of how many, how many were read and refused, and the slowest [s]."""

    made: int = 0
    read: int = 0
    refused: int = 0
    zones: int = 0
    worst_s: float = 0.0


class Site:
    """A saved site, and an inbox that a plan is put into to be read."""

    def __init__(self, folder, *, placed):
        self.inbox, self.folder = folder / "inbox", Folder(folder / "site")
        self.inbox.mkdir()
        start(self.folder.path, title="Invented garden")
        if placed:
            read(good.SAMPLE / "plans/lawns.geojson", into=self.folder.path)
        self.control = folder / "control.csv"
        self.control.write_bytes(good.PAGE_CONTROL)
        self.before = self.state()
        self.revision = load(self.folder).revision

    def take(self, files, reading):
        """Read a plan; return what the door answered.

        Raises
        ------
        LawnmapError
            The reader's own, with the site as it was.
        """
        for path in self.inbox.iterdir():
            path.unlink()
        for name, data in files.items():
            (self.inbox / name).write_bytes(data)
        if "control.csv" in files:
            reading = replace(reading, control=self.inbox / "control.csv")
        try:
            reply = read(self.inbox / next(iter(files)), reading, into=self.folder.path)
        except LawnmapError as error:
            self.check_refused(error)
            raise
        try:
            check_sound(reply)
            self.check_saved(reply)
            if reply.found.picture is None:  # which is drawn anew each time
                self.check_again(files, reading)
        finally:
            self.restore()
        return reply

    def check_refused(self, error):
        """Assert that a refusal is the reader's own, and left the site alone."""
        assert unforeseen(error) == ""
        assert str(error).isprintable()
        assert self.state() == self.before, "the site was changed by what was refused"

    def check_saved(self, reply):
        """Assert that what stands on disk is what was read, to the last bit."""
        there = load(self.folder)
        if not reply.saved:
            assert self.state() == self.before
            assert {each.what for each in reply.changes} <= {"unchanged", "kept"}
            return
        assert there.revision == self.revision + 1
        assert there.document == reply.site.document
        for change in reply.changes:
            assert not change.feature or change.feature in there.document["features"]
        for one, other in (
            (there.zones, reply.site.zones),
            (there.features, reply.site.features),
        ):
            pd.testing.assert_frame_equal(one, other)
        if reply.site.heights is not None:
            mine, theirs = there.heights, reply.site.heights
            assert mine.shape == theirs.shape
            np.testing.assert_array_equal(mine.points, theirs.points)

    def check_again(self, files, reading):
        """Assert that the same plan changes nothing when it is read once more."""
        again = read(self.inbox / next(iter(files)), reading, into=self.folder.path)
        told = [(each.what, each.name, each.moved_m, each.facts) for each in again.changes]
        assert {each.what for each in again.changes} <= {"unchanged", "kept"}, told
        assert not again.saved

    def state(self):
        """Return every file of the site with its bytes."""
        paths = (path for path in self.folder.path.rglob("*") if path.is_file())
        return {path.relative_to(self.folder.path): path.read_bytes() for path in paths}

    def restore(self):
        """Put the site back to what it was before it was saved."""
        now = self.state()
        for name in now.keys() - self.before.keys():
            (self.folder.path / name).unlink()
        for name, data in self.before.items():
            if now.get(name) != data:
                (self.folder.path / name).write_bytes(data)


def check_sound(reply):
    """Assert that every number is finite, and every zone a sound outline with an area."""
    assert all(map(math.isfinite, numbers(reply.site.document)))
    for each in reply.found.features:
        assert all(map(math.isfinite, numbers([each.geometry, each.properties])))
        assert each.place
    assert all(warning.endswith((".", "?", "!")) for warning in reply.warnings), reply.warnings
    assert all(warning.isprintable() or "\n" not in warning for warning in reply.warnings)
    zones = np.asarray(reply.site.zones.geometry.array, dtype=object)
    assert (ellipsoid.areas(zones) > 0).all()
    assert shapely.is_valid(zones).all()
    for change in reply.changes:
        assert change.kind != "zone" or change.area_m2 > 0
    picture = reply.found.picture
    assert picture is None or min(picture.width, picture.height) > 0
    if reply.site.heights is not None:
        points = reply.site.heights.points
        assert not np.isinf(points).any()
        assert reply.site.heights.shape or np.isfinite(points).all()


def numbers(value):
    """Yield every number in a value of JSON."""
    if isinstance(value, dict):
        value = list(value.values())
    if isinstance(value, list | tuple):
        for each in value:
            yield from numbers(each)
    elif isinstance(value, int | float) and not isinstance(value, bool):
        yield value


def worked(kind, count):
    """Return what became of `count` plans of one kind; the first that is wrong is raised."""
    made, counts = MADE[kind], Counts()

    @settings(
        max_examples=count,
        deadline=None,
        database=None,
        derandomize=not LONG,  # the same in every run of CI, others in each long run
        report_multiple_bugs=False,
        suppress_health_check=list(HealthCheck),
    )
    @given(made.files, st.sampled_from(made.kinds), st.booleans(), st.booleans())
    def taken(files, feature, skip, mend):
        files = files if isinstance(files, dict) else {made.name: files}
        reading = replace(made.reading, kind=feature, skip_bad=skip, repair=mend)
        counts.made += 1
        began = time.monotonic()
        try:
            reply = site.take(files, reading)
            counts.read += 1
            counts.zones += sum(each.kind == "zone" for each in reply.changes)
        except LawnmapError:
            counts.refused += 1
        took = time.monotonic() - began
        counts.worst_s = max(counts.worst_s, took)

    with tempfile.TemporaryDirectory() as name:
        site = Site(Path(name), placed=made.placed)
        taken()
    return counts


def forked(kind, count):
    """Return the same with forks for guarded children, worked out in a program of its own."""
    environment = {**child.ENVIRONMENT, **os.environ}
    if MADE[kind].driver:
        from lawnmap.readers import ogr

        environment |= ogr.environment(MADE[kind].driver)
    done = subprocess.run(
        [sys.executable, "-m", PROGRAM, kind, str(count)],
        cwd=good.SAMPLE.parent,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr[-6000:]
    return Counts(**json.loads(done.stdout.splitlines()[-1]))


def main():
    kind, count = sys.argv[1], int(sys.argv[2])
    warnings.simplefilter("error", RuntimeWarning)  # as pytest does: numbers that overflow
    for module in MADE[kind].inside:
        importlib.import_module(module)
    if MADE[kind].inside:
        child.run = fork
    sys.stdout.write(json.dumps(asdict(worked(kind, count))))


if __name__ == "__main__":
    main()
