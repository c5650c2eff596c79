"""The job ``about``: versions, weak spots, limits, folders and what guards this machine offers."""

from __future__ import annotations

import contextlib
import platform as machine
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

from lawnmap.files import child
from lawnmap.files.limits import SITE
from lawnmap.reference.weak_spots import weak_spots

PACKAGES = (
    "geopandas", "shapely", "pyproj", "pyogrio", "pandas", "numpy", "folium", "branca", "click",
    "XStatic-Leaflet", "fpdf2", "ttf-opensans", "pyarrow", "ezdxf", "Pillow", "pypdfium2", "scipy",
    "pvlib", "XlsxWriter", "orjson", "dask", "distributed", "pip", "setuptools",
)  # fmt: skip
MISSING = "not installed"
LEAFLET_PARTS = 3  # the package counts its own changes behind Leaflet's version
WATCHED = "not set by this system; the process is watched from outside"
UNITS = {"cpu_s": "s", "memory_bytes": "byte", "file_bytes": "byte"}


def versions() -> dict[str, str]:
    """Return the versions of lawnmap, Python, the packages and the native libraries in them.

    What cannot be asked for on this machine is left out; a package that is not there is told.
    """
    found = {"lawnmap": version("lawnmap"), "Python": machine.python_version()}
    for name in PACKAGES:
        try:
            found[name] = version(name)
        except PackageNotFoundError:
            found[name] = MISSING
    leaflet = found["XStatic-Leaflet"].split(".")
    found["Leaflet"] = ".".join(leaflet[:LEAFLET_PARTS])
    for asked in (_of_python, _of_geometry, _of_pictures, _of_arrow, _of_pdfium):
        with contextlib.suppress(ImportError):
            found |= asked()
    return found


def _of_python() -> dict[str, str]:
    """Return the libraries that Python's own modules are linked with."""
    import pyexpat
    import sqlite3
    import ssl
    import zlib

    return {
        "Expat": pyexpat.EXPAT_VERSION.removeprefix("expat_"),
        "zlib": zlib.ZLIB_RUNTIME_VERSION,
        "SQLite": sqlite3.sqlite_version,
        "OpenSSL": ssl.OPENSSL_VERSION.split()[1],
    }


def _of_geometry() -> dict[str, str]:
    import pyogrio
    import pyproj
    import shapely

    return {
        "GEOS": shapely.geos_version_string,
        "PROJ": pyproj.proj_version_str,
        "GDAL": pyogrio.__gdal_version_string__,
        "GEOS of GDAL": ".".join(map(str, pyogrio.__gdal_geos_version__)),
    }


def _of_pictures() -> dict[str, str]:
    """Return the libraries that Pillow brings along."""
    from PIL import features

    names = {
        "JPEG": "libjpeg_turbo",
        "TIFF": "libtiff",
        "WebP": "webp",
        "FreeType": "freetype2",
        "zlib of Pillow": "zlib",
    }
    asked = {ours: features.version(theirs) for ours, theirs in names.items()}
    return {name: str(each) for name, each in asked.items() if each}


def _of_arrow() -> dict[str, str]:
    import pyarrow as pa

    return {"Arrow": str(pa.cpp_version)}


def _of_pdfium() -> dict[str, str]:
    import pypdfium2

    return {"PDFium": str(pypdfium2.PDFIUM_INFO).partition("@")[0]}


def weaknesses(found: dict[str, str]) -> list[dict[str, str]]:
    """Return the known weak spots of what is installed, and whether each is mended here.

    Parameters
    ----------
    found : dict of str to str
        What :func:`versions` returned.

    Returns
    -------
    list of dict
        ``id``, ``part``, ``version``, ``state`` ("mended here", "open here" or "open in
        every version known"), ``weakness``, ``guard``, ``told_by``, ``standing``.
    """
    rows = []
    for spot in weak_spots():
        here = found.get(spot.part, MISSING)
        if here == MISSING:
            continue
        open_here = "open here" if spot.fixed_in else "open in every version known"
        rows.append(
            {
                "id": spot.id,
                "part": spot.part,
                "version": here,
                "state": "mended here" if spot.mended(here) else open_here,
                "weakness": spot.weakness,
                "guard": spot.guard,
                "told_by": spot.told_by,
                "standing": spot.standing,
            }
        )
    return rows


def guards() -> dict[str, str]:
    """Return what keeps hostile files in bounds here, as the guarded child itself finds it."""
    told = child.bounds()
    limits_there = {
        f"{name} of the reading process": f"{most} {UNITS[name]}" if most else WATCHED
        for name, most in told["limits"].items()
    }
    return {
        "network of the reading process": str(told["network"]),
        **limits_there,
        "zip archives": "own check of overlaps and sizes",
    }


def limits() -> dict[str, int]:
    """Return the limits of the door through which a person imports."""
    return dict(SITE._asdict())


def folders(app_dir: Path) -> dict[str, str]:
    """Return every folder lawnmap uses outside a site folder."""
    return {
        "depot when none is nearer": str(app_dir),
        "log of faults": str(app_dir / "log"),
        "package": str(Path(__file__).parents[1]),
    }
