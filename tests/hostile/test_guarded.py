"""The guarded child as each reader starts it: one driver, no network, limits, nothing of ours.

The readers' own code chooses function, files and environment; a probe is put in the function's
place, and so sees just what a hostile file would.
"""

import subprocess
import sys
import tempfile
from pathlib import Path

import pytest

from lawnmap import plugins
from lawnmap.errors import InputRefused
from lawnmap.files import child, platform
from lawnmap.files.admit import admit
from lawnmap.files.answer import Allowance
from lawnmap.readers import ogr
from tests.hostile import bait as baits
from tests.hostile.texts import PIPELINE, VRT
from tests.readers import good_files as good

PROBE = """
import importlib, os, pathlib, socket, sys

def limits():
    import resource
    names = ("RLIMIT_CPU", "RLIMIT_AS", "RLIMIT_FSIZE", "RLIMIT_CORE")
    return {name: resource.getrlimit(getattr(resource, name)) for name in names}

def called(port):
    try:
        socket.create_connection(("127.0.0.1", port), timeout=2).close()
    except OSError as error:
        return type(error).__name__
    return "reached"

def tried(function, *arguments):
    try:
        return str(function(*arguments))
    except BaseException as error:
        return type(error).__name__

def gdal(url, vrt, pipeline):
    import pyogrio, pyogrio.raw
    pathlib.Path("plan.kml").write_bytes(vrt.encode())
    pathlib.Path("plan.json").write_bytes(pipeline.encode())
    read = lambda name: pyogrio.raw.read(name)[3]
    names = ("plan.kml", "plan.json", vrt, pipeline, url, "/vsicurl/" + url)
    return {
        "drivers": sorted(pyogrio.list_drivers()),
        "read": {name[:20]: tried(read, name) for name in names},
    }

def look(port, url, vrt, pipeline, ogr):
    names = sorted(each.name for each in pathlib.Path().iterdir())
    return {
        "files": names,
        "environment": dict(os.environ),
        "limits": limits(),
        "call": called(port),
        "gdal": gdal(url, vrt, pipeline) if ogr else None,
    }

def burn():
    while True:
        pass

def hog():
    held = []
    while True:
        held.append(bytes(50_000_000))

def fill():
    with open("large", "wb") as stream:
        for _ in range(30):
            stream.write(bytes(1_000_000))
"""
PLANS = {
    "gpkg": ("GPKG", lambda: good.sample("plan.gpkg"), "zones"),
    "shp": ("ESRI Shapefile", good.shapefile, None),
    "fgb": ("FlatGeobuf", lambda: good.sample("plans/garden.fgb"), None),
    "parquet": ("", lambda: good.sample("plan.parquet"), None),
    "dxf": ("", lambda: good.sample("plans/garden.dxf"), "LAWN"),
    "png": ("", good.png, None),
    "jpeg": ("", good.jpeg, None),
    "tiff": ("", good.tiff, None),
    "pdf": ("", good.pdf, None),
}
pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="limits and locks of Linux")


class Seen(BaseException):
    """Carries what the probe saw past the reader's outer net."""


@pytest.fixture
def probe(tmp_path, monkeypatch):
    """Return what runs the probe in the child that a reader starts for a good plan."""
    home = tmp_path / "modules"
    home.mkdir()
    (home / "probe_of_a_child.py").write_text(PROBE, encoding="utf-8")
    monkeypatch.syspath_prepend(home)
    own = child.run

    def look_through(kind, function, **arguments):
        _, files, layer = PLANS[kind]
        inbox = tmp_path / "in"
        inbox.mkdir(exist_ok=True)
        for name, data in files().items():
            (inbox / name).write_bytes(data)
        source = admit(inbox / next(iter(files())))

        def run(_function, inside=None, _arguments=None, **options):
            raise Seen(own(f"probe_of_a_child:{function}", inside, arguments, **options))

        monkeypatch.setattr(child, "run", run)
        with pytest.raises(Seen) as caught:
            plugins.load("readers", source.kind).read(source, layer=layer)
        return caught.value.args[0]

    return look_through


@pytest.mark.parametrize("kind", PLANS)
def test_the_child_of_each_reader_is_alone(kind, probe, tmp_path, figure):
    driver = PLANS[kind][0]
    with baits.laid(tmp_path) as bait:
        vrt, pipeline = (bait.filled(data).decode() for data in (VRT, PIPELINE))
        seen = probe(
            kind, "look", port=bait.port, url=bait.url, vrt=vrt, pipeline=pipeline, ogr=bool(driver)
        )
        assert not baits.heard(bait)
        assert baits.MARK not in str(seen)
    assert seen["call"].endswith("Error")
    most = Allowance()
    cpu_s = ogr.CPU_S if driver else most.cpu_s
    assert seen["limits"] == {
        "RLIMIT_CPU": [cpu_s, cpu_s + 1],
        "RLIMIT_AS": [most.memory_bytes] * 2,
        "RLIMIT_FSIZE": [most.output_bytes] * 2,
        "RLIMIT_CORE": [0, 0],
    }
    assert {Path(name).stem for name in seen["files"]} == {"plan"}
    assert seen["environment"]["HOME"].startswith(tempfile.gettempdir())
    assert "PYTHONPATH" not in seen["environment"]
    if driver:
        assert seen["gdal"]["drivers"] == [driver]
        assert {each[-5:] for each in seen["gdal"]["read"].values()} == {"Error"}
    figure(
        3, f"Guarded child of {kind}: {len(bait.hits)} calls, {str(seen).count(baits.MARK)} marks"
    )


BURNS = {
    "gpkg": ("burn", {"cpu_s": 1}, "took more than 1 s of computing"),
    "dxf": ("hog", {"memory_bytes": 600_000_000}, "needed more than 0.6 GB of memory"),
    "png": ("fill", {"output_bytes": 20_000_000}, "came out larger than 20 MB"),
}


@pytest.mark.parametrize("kind", BURNS)
def test_what_takes_too_much_is_stopped(kind, probe, monkeypatch):
    function, less, words = BURNS[kind]
    monkeypatch.setattr(child, "Allowance", lambda: Allowance(**less))
    with pytest.raises(InputRefused, match=words) as caught:
        probe(kind, function)
    assert caught.value.remedy


def test_what_is_forbidden_inside_works_outside(tmp_path):
    """The same probe without a child knocks at the canary and gives the secret away."""
    with baits.laid(tmp_path) as bait:
        vrt, pipeline = (bait.filled(data).decode() for data in (VRT, PIPELINE))
        words = f"print(look({bait.port}, {bait.url!r}, {vrt!r}, {pipeline!r}, True))"
        done = subprocess.run(
            [sys.executable, "-c", f"{PROBE}\n{words}"],
            capture_output=True,
            text=True,
            check=True,
            cwd=tmp_path,
        )
        assert baits.heard(bait, seconds=5)
    assert baits.MARK in done.stdout
    assert len(done.stdout.split("'drivers'")[1].split(",")) > 20


def test_the_lock_on_the_network_is_the_system_s():
    assert child.run("lawnmap.files.platform:network_lock") in {
        platform.SECCOMP,
        platform.NAMESPACE,
    }
