"""What ``about`` says of this machine, against what libraries and system say themselves."""

import json
import re
import subprocess
import sys
import zlib
from importlib.metadata import version

import pytest
from packaging.version import Version

from lawnmap.cli import about_text
from lawnmap.files.answer import Allowance
from lawnmap.jobs import about
from lawnmap.reference import tables
from lawnmap.reference.weak_spots import WeakSpot, numbers, weak_spots


@pytest.fixture(scope="module")
def told():
    return about.versions()


def test_geometry_libraries_say_the_same(told):
    import pyogrio
    import pyproj
    import shapely

    assert told["GEOS"] == shapely.geos_version_string == ".".join(map(str, shapely.geos_version))
    assert told["PROJ"] == pyproj.proj_version_str == pyproj.__proj_version__
    assert told["GDAL"] == ".".join(map(str, pyogrio.__gdal_version__))


def test_libraries_of_python_say_the_same(told):
    import sqlite3
    import ssl
    from xml.parsers import expat

    assert told["Expat"] == ".".join(map(str, expat.version_info))
    with sqlite3.connect(":memory:") as base:
        assert told["SQLite"] == base.execute("SELECT sqlite_version()").fetchone()[0]
    base.close()
    assert told["zlib"] == zlib.ZLIB_RUNTIME_VERSION
    major, minor, *_ = ssl.OPENSSL_VERSION_INFO
    assert told["OpenSSL"].startswith(f"{major}.{minor}.")
    assert f"SSL {told['OpenSSL']} " in ssl.OPENSSL_VERSION
    assert told["Python"] == ".".join(map(str, sys.version_info[:3]))


def test_libraries_of_extras_say_the_same(told):
    import pyarrow as pa
    import pypdfium2
    from PIL import features

    assert told["WebP"] == features.version_module("webp")
    assert told["TIFF"] == features.version_codec("libtiff")
    assert told["JPEG"] == features.version_feature("libjpeg_turbo")
    assert told["FreeType"] == features.version_module("freetype2")
    assert told["Arrow"] == pa.cpp_build_info.version
    assert told["PDFium"] == ".".join(map(str, pypdfium2.PDFIUM_INFO.api_tag))
    assert told["Leaflet"] == "1.9.3"
    assert told["Pillow"] == version("pillow")


def test_an_extra_that_is_missing_is_said_and_not_asked(monkeypatch):
    for name in ("PIL", "PIL.features", "pyarrow", "pypdfium2"):
        monkeypatch.setitem(sys.modules, name, None)
    monkeypatch.setattr(about, "PACKAGES", ("click", "no-such-package-here", "XStatic-Leaflet"))
    found = about.versions()
    assert found["no-such-package-here"] == about.MISSING
    assert {"GEOS", "Expat"} <= set(found)
    assert {"WebP", "Arrow", "PDFium"}.isdisjoint(found)
    assert "Pillow" not in {row["part"] for row in about.weaknesses(found)}


def test_bounds_of_the_reading_process():
    bounds = about.guards()
    assert bounds["network of the reading process"] in {
        "seccomp", "namespace", "no network lock"
    }  # fmt: skip
    limit = bounds["cpu_s of the reading process"]
    if sys.platform == "linux":
        assert bounds["network of the reading process"] != "no network lock"
        assert int(limit.removesuffix(" s")) <= Allowance().cpu_s
        memory = bounds["memory_bytes of the reading process"]
        assert int(memory.removesuffix(" byte")) <= Allowance().memory_bytes


def test_limits_of_another_system_are_not_claimed(monkeypatch):
    nothing = {"network": "no network lock", "limits": {"cpu_s": None, "memory_bytes": 10}}
    monkeypatch.setattr(about.child, "bounds", lambda: nothing)
    bounds = about.guards()
    assert bounds["cpu_s of the reading process"] == about.WATCHED
    assert bounds["memory_bytes of the reading process"] == "10 byte"


# Weak spots --------------------------------------------------------------------------------------


@pytest.mark.parametrize("spot", weak_spots(), ids=lambda spot: spot.id)
def test_every_weak_spot_is_whole(spot, told):
    assert spot.part in {*told, "Pillow", "WebP", "pip", "setuptools"}
    assert spot.standing in tables.STANDINGS
    assert len(spot.weakness) > 20
    assert len(spot.guard) > 20
    assert not (spot.weakness + spot.guard + spot.told_by).endswith(".")
    if spot.id.startswith("CVE-"):
        assert re.fullmatch(r"CVE-\d{4}-\d{4,7}", spot.id)
        assert spot.standing == "from memory" or re.search("CVE|issue|release", spot.told_by)
    assert list(spot.fixed_in) == sorted(spot.fixed_in, key=Version)


def test_no_weak_spot_stands_twice():
    assert len({spot.id for spot in weak_spots()}) == len(weak_spots()) > 10


@pytest.mark.parametrize(
    ("fixed", "here", "mended"),
    [
        # Overlap of zip entries, fixed in CPython 3.11.8 and 3.12.2 (CVE-2024-0450).
        ("3.11.8 3.12.2", "3.11.7", False),
        ("3.11.8 3.12.2", "3.11.8", True),
        ("3.11.8 3.12.2", "3.11.14", True),
        ("3.11.8 3.12.2", "3.12.1", False),
        ("3.11.8 3.12.2", "3.12.2", True),
        ("3.11.8 3.12.2", "3.14.0", True),
        ("2.6.0", "2.5.0", False),
        ("2.6.0", "2.10.1", True),
        ("13.0.0", "12.3.0", False),
        ("", "99.0", False),
    ],
)
def test_mended_by_version(fixed, here, mended):
    assert WeakSpot("", "", tuple(fixed.split()), "", "", "", "").mended(here) is mended


@pytest.mark.parametrize("older", ["1.2", "1.2.9", "2.0.1", "3.11.7", "10.9.8"])
@pytest.mark.parametrize("newer", ["1.10", "2.1", "3.11.8", "11.0"])
def test_versions_count_as_the_packaging_library_counts_them(older, newer):
    assert (numbers(older) < numbers(newer)) == (Version(older) < Version(newer))


def test_state_follows_the_version_here(told):
    old = about.weaknesses({**told, "Python": "3.11.7", "Expat": "2.5.0", "Pillow": "12.3.0"})
    new = about.weaknesses({**told, "Python": "3.11.8", "Expat": "2.8.1", "Pillow": "13.0.0"})

    def of(rows, name):
        (row,) = [row for row in rows if row["id"] == name]
        return row["state"]

    for name in ("CVE-2024-0450", "CVE-2023-52425", "CVE-2026-45186", "CVE-2026-112403"):
        assert (of(old, name), of(new, name)) == ("open here", "mended here")
    assert of(new, "branca templates") == "open in every version known"


def test_what_a_person_reads(told):
    rows = about.weaknesses({**told, "Python": "3.11.7", "Pillow": "13.0.0"})
    said = about_text.text({"versions": told, "weak_spots": rows})
    assert "CVE-2024-0450: Python 3.11.7, open here: entries of a zip archive" in said
    assert "Weak spots mended here: " in said
    assert "CVE-2026-112403 (Pillow)" in said.split("Weak spots open here")[0]
    nothing = about_text.text({"versions": {"Python": "3.14.0"}, "weak_spots": []})
    assert "Weak spots" not in nothing


def test_the_command_as_json_and_what_help_costs():
    done = subprocess.run(
        [sys.executable, "-m", "lawnmap", "about", "--json"],
        capture_output=True,
        timeout=120,
        check=True,
    )
    result = json.loads(done.stdout)["result"]
    assert set(result) == {"versions", "limits", "guards", "weak_spots"}
    assert result["versions"]["lawnmap"] == version("lawnmap")
    keys = {"id", "part", "version", "state", "weakness", "guard", "told_by", "standing"}
    assert all(set(row) == keys for row in result["weak_spots"])
    heavy = subprocess.run(
        [
            sys.executable,
            "-c",
            "import sys, lawnmap.jobs.about, lawnmap.cli.about\n"
            "print([n for n in ('pyogrio', 'pyarrow', 'PIL', 'ssl', 'sqlite3', 'pypdfium2') "
            "if n in sys.modules])",
        ],
        capture_output=True,
        timeout=60,
        check=True,
    )
    assert heavy.stdout.split() == [b"[]"]
