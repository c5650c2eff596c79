"""One partition: whole sites from bare zones to figures and sums. It needs nothing beside them.

Zone steps look at one row and are run over all zones at once. What a site step looks at beside the
zones is things mapped on that site, and few sites have any that matter. So sites are worked in
groups, each as if it were one: see :mod:`lawnmap.jobs.sites.grouping`. Sentences are not made; rule
ids and columns are enough to make them later.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import pandas as pd
import shapely

from lawnmap.jobs.beginning import treatments
from lawnmap.jobs.measure import outline_sigmas
from lawnmap.jobs.sites.grouping import UNKNOWN, groups, names_of, placed
from lawnmap.model import Specification
from lawnmap.processing.days.months import Months
from lawnmap.processing.impossible import refuse
from lawnmap.processing.judgement.blades import to_hand
from lawnmap.processing.judgement.choose import choose
from lawnmap.processing.judgement.reach import needed_m
from lawnmap.processing.many.needs import sums
from lawnmap.processing.many.site_rows import named, site_rows
from lawnmap.processing.measure import measure
from lawnmap.processing.setting_out.blade_strips import blade_strips
from lawnmap.processing.setting_out.legal import STRIP_NOT_SET
from lawnmap.processing.setting_out.many_passes import many_passes
from lawnmap.processing.setting_out.strips import strips
from lawnmap.processing.steps import figures
from lawnmap.processing.sun.used import used
from lawnmap.treatments import row

Codes = npt.NDArray[np.intp]


@dataclass(frozen=True)
class Terms:
    """What holds for every partition of a run.

    Attributes
    ----------
    specification : Specification
        The choices for all zones, with the depot's cards and machines and the day of the plan.
    lines : bool
        Whether the bouts of the blades are counted too.
    """

    specification: Specification
    lines: bool = False

    @cached_property
    def months(self) -> Months:
        """First months of chains of steps; what one partition found holds for the next."""
        return Months(self.specification)

    def __post_init__(self) -> None:
        """Refuse choices that no site could be planned with."""
        refuse(self.specification)
        treatments(self.specification)  # one that is gone, or will not load, is told once
        object.__setattr__(self, "specification", replace(self.specification, words=False))


class Part(NamedTuple):
    """A worked partition.

    Attributes
    ----------
    zones : GeoDataFrame
        In the order they came in, with every column of figures and rules.
    steps : dict of str to DataFrame
        Rows of each operation by its name; ``zone`` is the place of the zone.
    sites, needs, hours : DataFrame
        The tables ``sites``, ``site_needs`` and ``site_hours`` of the schema.
    """

    zones: gpd.GeoDataFrame
    steps: dict[str, pd.DataFrame]
    sites: pd.DataFrame
    needs: pd.DataFrame
    hours: pd.DataFrame


def worked(zones: gpd.GeoDataFrame, features: gpd.GeoDataFrame, terms: Terms) -> Part:
    """Work out a partition.

    Parameters
    ----------
    zones : GeoDataFrame
        Longitude/latitude, by place (0 up), with ``site_id`` and every fact column of the schema.
    features : GeoDataFrame
        Everything else that is mapped on these sites, with ``site_id``.
    terms : Terms

    Returns
    -------
    Part
    """
    site, ids = pd.factorize(zones["site_id"].to_numpy(dtype=object))
    of_feature = pd.Index(ids).get_indexer(features["site_id"].to_numpy(dtype=object))
    asked = treatments(terms.specification)
    found_zones, found_steps, found_places = [], [], []
    of_core = placed(zones, features, site, of_feature)
    for places, things in groups(site, features, of_feature, _needed_m(terms.specification)):
        here = zones.iloc[places] if len(places) < len(zones) else zones
        beside = features.iloc[things].assign(zone_id=names_of(of_core[things], places))
        judged = _judged(here, site[places], beside, of_feature[things], terms)
        rows = figures(judged, terms.specification, asked)
        found_zones.append(judged)
        found_places.append(places)
        found_steps.append({name: _placed(each, places) for name, each in rows.items()})
    table, rows = _joined(found_zones, found_places), _one_table(found_steps)
    months = terms.months.of(rows, table, _south(table))
    rows = {name: each.assign(month=months[name]) for name, each in rows.items()}
    own = sums(rows, site, len(ids))
    sites = site_rows(table, rows, site, np.asarray(ids, dtype=object), own)
    return Part(table, rows, sites, named(own.needs, sites), named(own.hours, sites))


def _judged(
    zones: gpd.GeoDataFrame,
    site: Codes,
    features: gpd.GeoDataFrame,
    of_feature: Codes,
    terms: Terms,
) -> gpd.GeoDataFrame:
    """Return the zones of a group with the columns of every step up to the quantities."""
    specification = terms.specification
    zones = zones.reset_index(drop=True)
    measured = measure(zones, features, outline_sigmas(), sites=site, features_sites=of_feature)
    lit = used(measured.zones, features, None, ())
    stripped, _ = strips(
        lit.zones, measured.lawn, features, specification, sites=site, features_sites=of_feature
    )
    unsure = np.isin(site, of_feature[(features["feature"] == UNKNOWN).to_numpy(dtype=bool)])
    if unsure.any():
        stripped = _kept_off(stripped, unsure)
    judged = choose(stripped, features, specification, None)
    bladed, _ = blade_strips(
        judged, measured.lawn, features, specification, sites=site, features_sites=of_feature
    )
    return many_passes(bladed, measured.lawn, specification) if terms.lines else bladed


def _needed_m(specification: Specification) -> npt.NDArray[np.float64]:
    """Return the widths of a way in that the machines to hand need [m]."""
    return np.unique([needed_m(each) for each in to_hand(specification)])


def _kept_off(zones: gpd.GeoDataFrame, unsure: npt.NDArray[np.bool_]) -> gpd.GeoDataFrame:
    """Return zones without iron and feed where nobody can tell how near the water they are."""
    set_by = {
        name: np.where(unsure, STRIP_NOT_SET, zones[name].to_numpy(dtype=object)).astype(object)
        for name in ("water_strip_from", "feed_strip_from")
    }
    ground = {
        name: np.where(unsure, 0.0, zones[name].to_numpy(dtype=np.float64))
        for name in ("iron_area_m2", "feed_area_m2")
    }
    return zones.assign(**ground, **{name: pd.Categorical(each) for name, each in set_by.items()})


def _south(zones: gpd.GeoDataFrame) -> npt.NDArray[np.bool_]:
    """Return the zones south of the equator, where seasons hold six months later."""
    bounds = shapely.bounds(np.asarray(zones.geometry.array, dtype=object))
    return np.asarray(bounds[:, 1] + bounds[:, 3] < 0)


def _placed(rows: pd.DataFrame, places: Codes) -> pd.DataFrame:
    """Return rows with the place of each zone in the whole partition."""
    of_group = rows["zone_id"].to_numpy(dtype=np.intp)
    return rows.rename(columns={"zone_id": "zone"}).assign(zone=places[of_group])


def _joined(groups: list[gpd.GeoDataFrame], places: list[Codes]) -> gpd.GeoDataFrame:
    """Return the zones of all groups in the order they came in."""
    if len(groups) == 1:
        return groups[0]
    order = np.argsort(np.concatenate(places), kind="stable")
    return pd.concat(groups, ignore_index=True).iloc[order].reset_index(drop=True)


def _one_table(groups: Sequence[Mapping[str, pd.DataFrame]]) -> dict[str, pd.DataFrame]:
    """Return the rows of each operation in all groups."""
    names = dict.fromkeys(name for each in groups for name in each)
    return {
        name: row.joined([each[name] for each in groups if name in each], words=False)
        for name in names
    }
