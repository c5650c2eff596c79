"""What is no ordinary file: pipes, devices, links, folders; and plans through standard input."""

import contextlib
import os
import socket

from tests.hostile.case import Case, accepted
from tests.hostile.texts import GOOD_KML, LAWN_M, LINK, at, lawn, ringed, with_crs
from tests.readers.good_files import sample, shapefile

PLAN = ringed(LAWN_M)


def read(path, *more):
    """Return what is typed to read a path into the site."""
    return ("read", path, "--into", "site", *more)


def pipe(folder):
    os.mkfifo(folder / "in" / "plan.geojson")


def linked(target, name="plan.geojson"):
    """Return what lays a link in the folder ``in``."""
    return lambda folder: (folder / "in" / name).symlink_to(target)


def folder_named(name):
    """Return what makes a folder of a plan's name."""
    return lambda folder: (folder / "in" / name).mkdir()


def sister(kind):
    """Return what lays something odd where the table of a shapefile would be."""

    def made(folder):
        path = folder / "in" / "zones.dbf"
        path.unlink()
        if kind == "pipe":
            os.mkfifo(path)
        else:
            path.symlink_to(kind)

    return made


def closed(folder):
    (folder / "in" / "plan.geojson").chmod(0)


def unix_socket(folder):
    # The name of a socket has 107 bytes at most, and a test's folder is long.
    with contextlib.chdir(folder), socket.socket(socket.AF_UNIX) as server:
        server.bind("in/plan.geojson")


def through(name, data, *more):
    """Return a run of what comes through standard input."""
    return Case(name, stdin=data, words=read("-", *more), file="standard input")


GEOJSON = {"plan.geojson": PLAN}


def commands():
    """Return the other commands that look at a plan of a stranger."""
    bad = {"plan.geojson": at(b"[NaN, 53]")}
    return [
        Case("measure nan", bad, words=("measure", "in/plan.geojson")),
        Case("plan nan", bad, words=("plan", "in/plan.geojson")),
        Case("export nan", bad, words=("export", "in/plan.geojson", "--to", "csv", "-o", "x.csv")),
        Case("check nan", bad, words=("check", "in/plan.geojson")),
        Case("layers nan", bad, words=("read", "in/plan.geojson", "--layers")),
        Case("printed nan", bad, words=("read", "in/plan.geojson")),
        Case(
            "measure link", {"plan.geojson": with_crs(LINK)}, words=("measure", "in/plan.geojson")
        ),
        Case("measure device", words=("measure", "/dev/zero"), file="zero"),
        Case(
            "measure a kml bomb",
            {"a.kml": b"<!DOCTYPE k []>" + GOOD_KML},
            words=("measure", "in/a.kml"),
        ),
        Case("heights", sample("plans/lawns.geojson"), words=("--as", "height")),
        Case(
            "assess by a picture",
            {"a.csv": b"\x89PNG\r\n"},
            words=("assess", "site", "--sheet", "in/a.csv"),
            site="zones",
        ),
        Case(
            "assess nan",
            {"a.csv": b"zone_id,moss_rating\nmain,NaN\n"},
            words=("assess", "site", "--sheet", "in/a.csv"),
            site="zones",
        ),
        Case(
            "assess formula",
            {"a.csv": b"zone_id,moss_rating\nmain,=1+1\n"},
            words=("assess", "site", "--sheet", "in/a.csv"),
            site="zones",
        ),
        Case(
            "assess no zone",
            {"a.csv": b"zone_id,moss_rating\nnowhere,1\n"},
            words=("assess", "site", "--sheet", "in/a.csv"),
            site="zones",
        ),
        Case(
            "assess device",
            words=("assess", "site", "--sheet", "/dev/zero"),
            site="zones",
            file="zero",
        ),
        Case(
            "place device",
            words=("place", "site", "--sheet", "/dev/zero"),
            site="unplaced",
            file="zero",
        ),
        Case(
            "control device",
            {"garden.png": sample("plans/garden.png")["garden.png"]},
            words=("--control", "/dev/zero"),
            file="zero",
        ),
        Case(
            "record nan",
            words=("record", "site", "main", "mowing", "area=nan m2"),
            site="zones",
            file="",
        ),
        Case(
            "record control", words=("record", "site", "main", "mow\x1b[31m"), site="zones", file=""
        ),
        Case("zone slip", words=("start", "new", "--timezone", "../../../etc/passwd"), file=""),
    ]


def cases():
    """Return the runs of this kind: refused and accepted."""
    return [
        Case("pipe", made=pipe, words=read("in/plan.geojson"), file="plan.geojson"),
        Case("socket", made=unix_socket, words=read("in/plan.geojson"), file="plan.geojson"),
        Case("zero", words=read("/dev/zero"), file="zero"),
        Case("random", words=read("/dev/urandom"), file="urandom"),
        Case("terminal", words=read("/dev/tty"), file="tty"),
        Case("null", words=read("/dev/null"), file="null"),
        Case("memory", words=read("/proc/self/mem"), file="mem"),
        Case("own streams", words=read("/dev/stdin"), stdin=b"", file="stdin"),
        Case("kernel file", words=read("/proc/self/status"), file="status"),
        Case(
            "loop", made=linked("plan.geojson"), words=read("in/plan.geojson"), file="plan.geojson"
        ),
        Case("nowhere", made=linked("nowhere"), words=read("in/plan.geojson"), file="plan.geojson"),
        Case(
            "link to zero",
            made=linked("/dev/zero"),
            words=read("in/plan.geojson"),
            file="plan.geojson",
        ),
        Case(
            "link to a secret",
            made=linked("../../bait/secret.csv"),
            words=read("in/plan.geojson"),
            file="plan.geojson",
        ),
        Case(
            "folder",
            made=folder_named("plan.geojson"),
            words=read("in/plan.geojson"),
            file="plan.geojson",
        ),
        Case(
            "folder of a package",
            made=folder_named("plan.gpkg"),
            words=read("in/plan.gpkg"),
            file="plan.gpkg",
        ),
        Case("here", words=read("."), file="."),
        Case("no such file", words=read("in/none.geojson"), file="none.geojson"),
        Case("in a file", GEOJSON, words=read("in/plan.geojson/plan.kml"), file="plan.kml"),
        Case(
            "table of a pipe.shp",
            shapefile(),
            made=sister("pipe"),
            words=read("in/zones.shp"),
            file="zones.dbf",
        ),
        Case(
            "table of zeros.shp",
            shapefile(),
            made=sister("/dev/zero"),
            words=read("in/zones.shp"),
            file="zones.dbf",
        ),
        Case(
            "table of a loop.shp",
            shapefile(),
            made=sister("zones.dbf"),
            words=read("in/zones.shp"),
            file="zones.dbf",
        ),
        Case(
            "into a file", GEOJSON, words=("read", "in/plan.geojson", "--into", "in/plan.geojson")
        ),
        Case(
            "into nothing",
            GEOJSON,
            words=("read", "in/plan.geojson", "--into", "none"),
            file="none",
        ),
        Case(
            "into a device",
            GEOJSON,
            words=("read", "in/plan.geojson", "--into", "/dev/null"),
            file="null",
        ),
        through("stdin nan", at(b"[NaN, 53]")),
        through("stdin nothing", b""),
        through("stdin zip", b"PK\3\4" + b"\0" * 60),
        through("stdin picture", b"\x89PNG\r\n\x1a\n"),
        through("stdin doctype", b"<!DOCTYPE k []>" + GOOD_KML),
        through("stdin words", b"lawn"),
        through("stdin large", lawn() + b" " * 50_000_000),
        *commands(),
        accepted(
            "link to a plan",
            GEOJSON,
            *read("in/link.geojson"),
            made=linked("plan.geojson", "link.geojson"),
        ),
        accepted("odd name", {"Süd plan (2); rm -rf ~ $(x).geojson": PLAN}),
        accepted("dash name", {"-rf.geojson": PLAN}),
        accepted("measured", GEOJSON, "measure", "in/plan.geojson", told="m²"),
        accepted("through stdin", {}, *read("-"), stdin=PLAN),
    ]
