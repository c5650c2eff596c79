"""The short name of a CRS that a file spells out in full. Runs in the guarded child."""

from __future__ import annotations

from typing import Any

import pyproj
from pyproj.exceptions import ProjError

from lawnmap.readers.crs import LONLAT

# How sure PROJ has to be that a spelt-out CRS is the one of the register [%]: 70 is "the same, but
# for its name", as in the .prj of a shapefile; below that something differs (PROJ, proj_identify).
CONFIDENCE = 70
PLANE = 2  # axes


def stated(spelt: str | dict[str, Any]) -> tuple[str | None, list[str]]:
    """Return a CRS as authority and code, or as WKT when no register has it; and what to say.

    Parameters
    ----------
    spelt : str or dict
        A code, WKT, or PROJJSON as parsed.

    Returns
    -------
    crs : str or None
        Of the horizontal part. None when it is not understood or has no place on the earth.
    warnings : list of str
        Whole sentences.
    """
    not_understood = ["The CRS that the file names is not understood."]
    try:
        crs = _horizontal(spelt)
    except ProjError:
        return None, not_understood
    if crs.is_engineering or crs.name.startswith("Undefined"):
        return None, [
            f"The file says that its CRS is {crs.name!r}, which has no place on the earth."
        ]
    wkt = crs.to_wkt()
    if "PARAMETERFILE[" in wkt or "nadgrids" in wkt:
        return None, ["The CRS in the file depends on another file, which is not followed."]
    # Several registers may list one CRS; EPSG's code is the one people know.
    code = crs.to_authority("EPSG", CONFIDENCE) or crs.to_authority(min_confidence=CONFIDENCE)
    if code:
        return ":".join(code), []
    return (wkt, []) if _leads_to_lonlat(crs) else (None, not_understood)


def _leads_to_lonlat(crs: pyproj.CRS) -> bool:
    """Tell whether there is a way out of it: a projection that nobody knows is parsed as well."""
    try:
        pyproj.Transformer.from_crs(crs, LONLAT)
    except ProjError:
        return False
    return True


def _horizontal(spelt: str | dict[str, Any]) -> pyproj.CRS:
    crs = (
        pyproj.CRS.from_json_dict(spelt)
        if isinstance(spelt, dict)
        else pyproj.CRS.from_user_input(spelt)
    )
    if crs.is_compound:
        crs = crs.sub_crs_list[0]
    return crs.to_2d() if len(crs.axis_info) > PLANE else crs
