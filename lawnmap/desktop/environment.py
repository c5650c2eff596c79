"""The environment that lawnmap is started in: what the GIS set for itself is taken out.

A GIS brings its own Python, GDAL, PROJ and Qt, and tells its own programs by the environment where
they are. lawnmap lives in another Python with its own of these, and would load the wrong ones.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path

# Of Python, of the libraries below it, and of the ways GIS builds are packed (Debian packages,
# OSGeo4W, app bundles of macOS, conda, AppImage). What begins so is left out.
PREFIXES = (
    "PYTHON", "__PYVENV", "_PYTHON", "VIRTUAL_ENV", "CONDA", "_CONDA", "_CE_", "MAMBA",
    "LD_", "DYLD_", "GDAL", "OGR_", "CPL_", "VSI_", "PROJ_", "PDAL_", "GEOTIFF", "OSR_",
    "QGIS", "QT_", "QT5", "QT6", "QML", "O4W", "OSGEO4W", "GRASS", "GISBASE", "GISRC", "SAGA",
    "OTB_", "SPATIALITE", "APPDIR", "APPIMAGE", "APPRUN", "FONTCONFIG", "GTK_PATH", "GI_TYPELIB",
    "SSL_CERT",
)  # fmt: skip
# Folders of these are taken out of PATH, so that no library of the GIS is found there first.
ROOTS = ("OSGEO4W_ROOT", "QGIS_PREFIX_PATH", "O4W_QT_PREFIX", "APPDIR", "CONDA_PREFIX")
ASKED = {
    "LAWNMAP_PROGRESS": "lines",
    "NO_COLOR": "1",
    "PYTHONUTF8": "1",  # whatever the code page of the machine
}


def cleaned(given: Mapping[str, str]) -> dict[str, str]:
    """Return the environment for lawnmap, made from that of the GIS."""
    kept = {name: text for name, text in given.items() if not name.upper().startswith(PREFIXES)}
    roots = [given[name] for name in ROOTS if given.get(name)]
    paths = {name: _without(text, roots) for name, text in kept.items() if name.upper() == "PATH"}
    return {**kept, **paths, **ASKED}


def _without(path: str, roots: list[str]) -> str:
    """Return a search path without the folders below some others, but for those of the system."""
    inside = [Path(root) for root in roots if Path(root) not in (Path("/"), Path("/usr"))]
    folders = path.split(os.pathsep)
    kept = [each for each in folders if each and not _below(Path(each), inside)]
    return os.pathsep.join(kept)


def _below(folder: Path, roots: list[Path]) -> bool:
    return any(root == folder or root in folder.parents for root in roots)
