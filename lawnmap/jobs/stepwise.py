"""The steps of a plan one by one: zones in and zones out, to be chained with ``pipe``.

Each takes the table first and the site after it, and hands on a copy with columns added on the
right. What comes of the whole chain is the plan of :func:`lawnmap.jobs.plan.plan`. What a step
needs is in the columns of its table, so that a column may be changed between two steps.
"""

from __future__ import annotations

import geopandas as gpd
import pandas as pd

from lawnmap.jobs.deciding import Judged, Worked, judged, worked
from lawnmap.jobs.measure import outline_sigmas, refuse_unsound
from lawnmap.jobs.needed import check_steps, check_zones
from lawnmap.jobs.plan import dated
from lawnmap.jobs.ready import Site
from lawnmap.model import Specification
from lawnmap.processing import measure as measuring
from lawnmap.processing.buying.loads import loads as loads_of
from lawnmap.processing.buying.totals import totals as totals_of
from lawnmap.processing.iron.postponed import following
from lawnmap.processing.records.done import Marked, remembered
from lawnmap.processing.setting_out.strips import strips as strips_of
from lawnmap.processing.sun.used import used

STEPS = ("measure", "sun", "strips", "choose")  # of zones, in their order


def measure(zones: gpd.GeoDataFrame, site: Site) -> gpd.GeoDataFrame:
    """Add true areas: on the ellipsoid, obstacles out, overlaps counted once, slope applied.

    Parameters
    ----------
    zones : GeoDataFrame
        The zones of the site, or some of them, with their facts; longitude/latitude.
    site : Site
        Its other features take their area out; its heights give the slope.

    Returns
    -------
    GeoDataFrame
        With ``outline_area_m2``, ``plan_area_m2``, ``ground_area_m2``, ``area_sigma_m2``,
        ``perimeter_m`` and the other columns of the step ``measure``.

    Raises
    ------
    InputRefused
        For another CRS, a fact column that is missing, or an outline that is not sound.

    Examples
    --------
    >>> import lawnmap
    >>> site = lawnmap.sample()
    >>> zones = site.zones.pipe(lawnmap.measure, site)
    >>> zones["ground_area_m2"].round(1).head(2).to_dict()
    {'front-west': 308.6, 'front-east': 330.2}
    """
    check_zones(zones, site, ())
    refuse_unsound(zones, site.features)
    return _measured(zones, site).zones


def sun(zones: gpd.GeoDataFrame, site: Site) -> gpd.GeoDataFrame:
    """Add hours of direct sun: as seen, else as ``lawnmap sun`` worked them out for this site.

    Parameters
    ----------
    zones : GeoDataFrame
        With the columns of the step :func:`measure`.
    site : Site

    Returns
    -------
    GeoDataFrame
        With ``sun_used_h``, ``sun_source`` and the other columns of the step ``sun`` [h a day]; NaN
        where nobody saw them and nothing was worked out.

    Raises
    ------
    InputRefused
        When a column that it needs is missing.
    """
    check_zones(zones, site, ("measure",))
    lit = used(zones, site.features, site.heights, site.sun, surface=site.surface)
    return lit.zones


def strips(zones: gpd.GeoDataFrame, site: Site) -> gpd.GeoDataFrame:
    """Add what of each zone may take iron, feed and seed, by label, law and site rule.

    The record is heeded: ``sown_last`` and ``fed_last`` are the later of what was noted and done.
    Where several label cards of iron are to choose from, the one is taken that suits the site's own
    zones, whatever was changed in the table.

    Parameters
    ----------
    zones : GeoDataFrame
        With the columns of the steps :func:`measure` and :func:`sun`.
    site : Site

    Returns
    -------
    GeoDataFrame
        With ``iron_area_m2``, ``feed_area_m2``, ``seed_area_m2``, ``water_strip_m`` and the other
        columns of the step ``strips``.

    Raises
    ------
    InputRefused
        When a column that it needs is missing.
    """
    check_zones(zones, site, STEPS[:2])
    known = remembered(zones, site.begun.record.rows)
    lawn = _measured(zones, site).lawn
    return strips_of(known, lawn, site.features, site.begun.iron.specification)[0]


def choose(zones: gpd.GeoDataFrame, site: Site) -> gpd.GeoDataFrame:
    """Add the judgement on each zone: verdict, blades, depth, passes, iron, and the rule of each.

    Parameters
    ----------
    zones : GeoDataFrame
        With the columns of the steps up to :func:`strips`.
    site : Site

    Returns
    -------
    GeoDataFrame
        With ``verdict``, ``blades``, ``passes``, ``iron_product`` and the other columns of the
        steps ``choose`` and ``blade_strips``.

    Raises
    ------
    InputRefused
        When a column that it needs is missing.
    """
    check_zones(zones, site, STEPS[:3])
    return _judged(zones, site).zones


def steps(zones: gpd.GeoDataFrame, site: Site) -> pd.DataFrame:
    """Return the work: every chosen operation on every zone, in order, what is done marked.

    Parameters
    ----------
    zones : GeoDataFrame
        With the columns of the steps up to :func:`choose`.
    site : Site

    Returns
    -------
    DataFrame
        A row a zone × operation, with ``status``, ``product``, ``amount``, ``unit``, ``water_l``,
        ``hours`` and the other columns of the step ``steps``. Quantities may be used only where
        ``status`` is "do".

    Raises
    ------
    InputRefused, PluginProblem
        When a column that it needs is missing, or a chosen treatment will not load.

    Examples
    --------
    >>> import lawnmap
    >>> site = lawnmap.sample(today="2026-09-07")
    >>> zones = site.zones.loc[["front-west"]]
    >>> zones = zones.pipe(lawnmap.measure, site).pipe(lawnmap.sun, site)
    >>> zones = zones.pipe(lawnmap.strips, site).pipe(lawnmap.choose, site)
    >>> work = zones.pipe(lawnmap.steps, site)
    >>> list(work["operation"].head(3))
    ['mowing', 'mowing', 'scarifying']
    """
    return _worked(zones, site).marked.steps


def dates(steps: pd.DataFrame, site: Site, zones: gpd.GeoDataFrame) -> pd.DataFrame:
    """Add the days: seasons, waits, weather, closed days, hours of crew and machines heeded.

    Parameters
    ----------
    steps : DataFrame
        As :func:`steps` returned it.
    site : Site
    zones : GeoDataFrame
        As they were given to :func:`steps`.

    Returns
    -------
    DataFrame
        With ``day``, ``day_last``, ``day_why`` and the other columns of the step ``dates``.

    Raises
    ------
    InputRefused
        When a column that it needs is missing.
    """
    check_steps(steps, site)
    left = _worked(zones, site).marked.left if site.calendar.record else ()
    return dated(Marked(steps, left), zones, _followed(zones, site), site.calendar)[0]


def totals(steps: pd.DataFrame, site: Site) -> pd.DataFrame:
    """Return what is needed of each product, what to buy in which packs, and what it costs.

    Parameters
    ----------
    steps : DataFrame
        As :func:`steps` or :func:`dates` returned it.
    site : Site
        Its label cards have packs, prices and stock.

    Returns
    -------
    DataFrame
        The table ``totals``: ``product``, ``amount``, ``unit``, ``to_buy``, ``packs``, ``cost``.

    Raises
    ------
    InputRefused
        When a column that it needs is missing.
    """
    check_steps(steps, site)
    return totals_of(steps, site.begun.iron.specification)


def loads(steps: pd.DataFrame, site: Site) -> pd.DataFrame:
    """Return the tank and hopper loads: what goes into each, and the last part-load.

    Parameters
    ----------
    steps : DataFrame
        As :func:`steps` or :func:`dates` returned it.
    site : Site

    Returns
    -------
    DataFrame
        The table ``loads``.

    Raises
    ------
    InputRefused
        When a column that it needs is missing.
    """
    check_steps(steps, site)
    return loads_of(steps, site.begun.iron.specification)


def _measured(zones: gpd.GeoDataFrame, site: Site) -> measuring.Measured:
    return measuring.measure(zones, site.features, outline_sigmas(), site.heights)


def _judged(zones: gpd.GeoDataFrame, site: Site) -> Judged:
    return judged(
        zones,
        site.features,
        site.begun.iron.specification,
        lawn=_measured(zones, site).lawn,
        heights=site.heights,
    )


def _followed(zones: gpd.GeoDataFrame, site: Site) -> Specification:
    return following(zones, site.begun.iron.specification)


def _worked(zones: gpd.GeoDataFrame, site: Site) -> Worked:
    """Return the work of zones that were judged; what was changed in them since holds."""
    check_zones(zones, site, STEPS)
    own = site.begun.iron.specification
    follows = _followed(zones, site)
    first = _judged(zones, site).first if follows.choice("postponed") else zones
    return worked(
        Judged(zones, follows, first, {}),
        own,
        site.begun.treatments,
        site.begun.record.rows,
        since=site.begun.since,
    )
