"""Which CRS a file is in, when the file, its format and the person may each say one."""

from __future__ import annotations

import re

from lawnmap.errors import InputRefused

LONLAT = "OGC:CRS84"

# Names as OGC 09-048r5 and 11-135r2 spell them: a URN, an address that is only a name, or plain.
NAME = re.compile(
    r"(?:urn:(?:x-)?ogc:def:crs:(?P<a>\w+):[\w.]*:"
    r"|https?://www\.opengis\.net/def/crs/(?P<b>\w+)/[\w.]+/"
    r"|(?P<c>\w+):)"
    r"(?P<code>\w+)",
    re.ASCII | re.IGNORECASE,
)
# In a file that puts x first these mean longitude first, and heights are not used.
SAME_AS_LONLAT = {"EPSG:4326", "EPSG:4979", "OGC:CRS84", "OGC:CRS84H"}


def named(text: str) -> str:
    """Return the CRS that a file names, as authority and code; ``OGC:CRS84`` for all its spellings.

    Raises
    ------
    InputRefused
        When the name is of another form, or PROJ does not know it. Nothing is looked up elsewhere.
    """
    match = NAME.fullmatch(text.strip())
    if match is None:
        raise InputRefused(
            f"names the CRS {text[:60]!r}, which is not known",
            remedy="Save the plan in longitude and latitude, or in a CRS with an EPSG code.",
        )
    authority = match["a"] or match["b"] or match["c"]
    code = f"{authority}:{match['code']}".upper()
    if code in SAME_AS_LONLAT:
        return LONLAT
    from lawnmap.geometry.crs import known

    known(code)
    return code


def is_geographic(crs: str) -> bool:
    """Tell whether coordinates in `crs` are longitude and latitude, on whatever datum."""
    if crs == LONLAT:
        return True
    from lawnmap.geometry.crs import known

    return bool(known(crs).is_geographic)


def agreed(own: str, asked: str | None) -> str:
    """Return the file's own CRS, having checked that the person asked for no other.

    Raises
    ------
    InputRefused
        When ``--crs`` says something else than the file or its format.
    """
    if asked is not None and not same(own, asked):
        raise InputRefused(
            f"is in {own}, and --crs says {asked[:60]!r}",
            remedy="Leave --crs out; it is for files that do not say.",
        )
    return own


def same(one: str, other: str) -> bool:
    """Tell whether two names stand for one CRS, the order of its axes left aside."""
    if one == other:
        return True
    from lawnmap.geometry.crs import is_lonlat, known

    try:
        first, second = known(one), known(other)
    except InputRefused:
        return False
    if is_lonlat(first) and is_lonlat(second):
        return True
    return bool(first.equals(second, ignore_axis_order=True))
