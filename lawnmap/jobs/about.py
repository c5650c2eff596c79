"""The job ``about``: versions, limits, folders and what guards this machine offers."""

from __future__ import annotations

import platform as machine
import sys
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

from lawnmap.files.child import network_lock
from lawnmap.files.limits import SITE

PACKAGES = (
    "geopandas",
    "shapely",
    "pyproj",
    "pyogrio",
    "pandas",
    "numpy",
    "folium",
    "click",
    "XStatic-Leaflet",
    "pyarrow",
)
# Fixed in these patch releases of Python: overlapping entries in zip archives (CVE-2024-0450).
ZIP_FIXED = {(3, 11): 8, (3, 12): 2}


def versions() -> dict[str, str]:
    """Return the versions of lawnmap, Python and everything it stands on."""
    import pyogrio
    import pyproj
    import shapely

    found = {"lawnmap": version("lawnmap"), "Python": machine.python_version()}
    for name in PACKAGES:
        try:
            found[name] = version(name)
        except PackageNotFoundError:
            found[name] = "not installed"
    found["GEOS"] = shapely.geos_version_string
    found["PROJ"] = pyproj.proj_version_str
    found["GDAL"] = pyogrio.__gdal_version_string__
    return found


def guards() -> dict[str, str]:
    """Return what keeps hostile files in bounds here."""
    patch = ZIP_FIXED.get(sys.version_info[:2])
    old = patch is not None and sys.version_info[2] < patch
    return {
        "network of the reading process": network_lock(),
        "zip archives": "own overlap check; update Python for its own" if old else "checked",
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
