"""One row a site: the table ``sites``, from worked zones and the sums of their steps."""

from __future__ import annotations

from collections.abc import Mapping

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import pandas as pd
import shapely

from lawnmap import schema
from lawnmap.processing.judgement.verdicts import WORK
from lawnmap.processing.many.needs import Sums
from lawnmap.schema import NOT_ALLOWED, NOT_SET, UNRATED

Codes = npt.NDArray[np.intp]
Floats = npt.NDArray[np.float64]
Texts = npt.NDArray[np.object_]

STOPPED = (NOT_SET, NOT_ALLOWED)


def site_rows(
    zones: gpd.GeoDataFrame,
    figures: Mapping[str, pd.DataFrame],
    site: Codes,
    ids: Texts,
    sums: Sums,
) -> pd.DataFrame:
    """Return the table ``sites`` of the schema, in the order of the site codes.

    Parameters
    ----------
    zones : GeoDataFrame
        By place, with the columns of the steps ``measure`` and ``choose``, region and depot.
    figures : mapping of str to DataFrame
        Rows of each operation; see :func:`lawnmap.processing.many.needs.sums`.
    site : (zones,) array of int
        Code of the site of each zone.
    ids : (sites,) array of str
    sums : Sums
        Of the same sites.
    """
    many = len(ids)
    ground = zones["ground_area_m2"].to_numpy(dtype=np.float64)
    worked = zones["verdict"].isin(WORK).to_numpy(dtype=bool)
    bounds = shapely.bounds(np.asarray(zones.geometry.array, dtype=object))
    first = np.full(many, len(site))
    np.minimum.at(first, site, np.arange(len(site)))
    data: dict[str, object] = {
        "site_id": ids,
        "title": ids,
        "region": zones["region"].to_numpy(dtype=object)[first],
        "depot": zones["depot"].to_numpy(dtype=object)[first],
        "longitude": _middle_longitude(bounds[:, [0, 2]], site, many, first),
        "latitude": _middle(bounds[:, 1], bounds[:, 3], site, many),
        "zones": _count(site, many),
        "worked": _count(site[worked], many),
        "unrated": _count(site[(zones["verdict"] == UNRATED).to_numpy(dtype=bool)], many),
        "stopped": _count(site[_stopped(figures, len(zones))], many),
        "ground_area_m2": np.bincount(site, ground, minlength=many),
        "worked_area_m2": np.bincount(site[worked], ground[worked], minlength=many),
    }
    of = sums.hours["site"].to_numpy(dtype=np.intp)
    for name in ("hours_low", "hours"):
        data[name] = np.bincount(of, sums.hours[name].to_numpy(dtype=np.float64), minlength=many)
    return _complete(data, many)


def bare_rows(zones: pd.DataFrame) -> pd.DataFrame:
    """Return rows of sites of which nothing is known but where they belong.

    Parameters
    ----------
    zones : DataFrame
        One zone of each, with site_id, region and depot.
    """
    names = ("site_id", "region", "depot")
    data = {name: zones[name].to_numpy(dtype=object) for name in names}
    counts = {name: np.zeros(len(zones)) for name in ("zones", "worked", "unrated", "stopped")}
    return _complete({**data, "title": data["site_id"], **counts}, len(zones))


def named(table: pd.DataFrame, sites: pd.DataFrame) -> pd.DataFrame:
    """Return sums with the id, region and depot of each site in place of its code."""
    own = sites[["site_id", "region", "depot"]].iloc[table["site"].to_numpy(dtype=np.intp)]
    return pd.concat([own.reset_index(drop=True), table.drop(columns="site")], axis=1)


def _complete(data: Mapping[str, object], many: int) -> pd.DataFrame:
    empty = {"object": "", "float64": np.nan}
    return pd.DataFrame(
        {
            column.name: pd.Series(
                data.get(column.name, empty[column.dtype]), index=range(many), dtype=column.dtype
            )
            for column in schema.columns("sites")
        }
    )


def _count(site: Codes, many: int) -> Floats:
    return np.bincount(site, minlength=many).astype(np.float64)


def _middle(low: Floats, high: Floats, site: Codes, many: int) -> Floats:
    """Return the middle of all zones of each site [°]."""
    least, most = np.full(many, np.inf), np.full(many, -np.inf)
    np.minimum.at(least, site, low)
    np.maximum.at(most, site, high)
    return np.asarray((least + most) / 2, dtype=np.float64)


def _middle_longitude(west_east: Floats, site: Codes, many: int, first: Codes) -> Floats:
    """Return the middle of all zones of each site [°], reckoned from its first zone.

    So a site on both sides of the antimeridian is not put on the other side of the earth.
    """
    origin = west_east[first, 0]
    turned = (west_east - origin[site, None] + 180.0) % 360.0 - 180.0
    middle = _middle(turned[:, 0], turned[:, 1], site, many) + origin
    return np.asarray((middle + 180.0) % 360.0 - 180.0, dtype=np.float64)


def _stopped(figures: Mapping[str, pd.DataFrame], zones: int) -> npt.NDArray[np.bool_]:
    """Return the zones with a step that may not be done."""
    found = np.zeros(zones, dtype=bool)
    for rows in figures.values():
        here = rows["status"].isin(STOPPED).to_numpy(dtype=bool)
        found[rows["zone"].to_numpy(dtype=np.intp)[here]] = True
    return found
