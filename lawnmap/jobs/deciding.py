"""The judgement on the zones and the steps that follow, with a programme when one is chosen."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import NamedTuple

import geopandas as gpd
import pandas as pd

from lawnmap.found import Heights
from lawnmap.model import Specification
from lawnmap.plugins import Treatment
from lawnmap.processing.iron.on_the_day import on_the_day
from lawnmap.processing.iron.postponed import follow, following
from lawnmap.processing.iron.programmes import programmes
from lawnmap.processing.iron.year_doses import year_doses
from lawnmap.processing.judgement.choose import choose
from lawnmap.processing.records.done import Marked, Row, done
from lawnmap.processing.setting_out.blade_strips import blade_strips
from lawnmap.processing.steps import steps
from lawnmap.treatments.bladed import effort


class Decided(NamedTuple):
    """Judged zones, the steps with what is done, the choices they follow, and the programmes.

    The layers are those of the blades, which are known once the zones are judged.
    """

    zones: gpd.GeoDataFrame
    marked: Marked
    specification: Specification
    programmes: pd.DataFrame
    layers: dict[str, gpd.GeoDataFrame]


class Judged(NamedTuple):
    """Judged zones, the choices they follow, and the zones as they were judged at first.

    The two differ where a programme leaves something for a later season. The layers are those of
    the blades, which are known once the zones are judged.
    """

    zones: gpd.GeoDataFrame
    specification: Specification
    first: gpd.GeoDataFrame
    layers: dict[str, gpd.GeoDataFrame]


class Worked(NamedTuple):
    """The steps with what is done; as the programme leaves them, and as they would be without."""

    marked: Marked
    followed: pd.DataFrame
    possible: pd.DataFrame


def decided(
    zones: gpd.GeoDataFrame,
    features: gpd.GeoDataFrame,
    specification: Specification,
    treatments: Mapping[str, Treatment],
    record: Sequence[Row] = (),
    *,
    since: dt.date | None = None,
    lawn: gpd.GeoSeries | None = None,
    heights: Heights | None = None,
) -> Decided:
    """Return what is to be done with each zone, and what a chosen programme leaves for later.

    Parameters
    ----------
    zones : GeoDataFrame
        With the columns of the steps ``measure`` and ``strips``.
    features : GeoDataFrame
    specification : Specification
    treatments : mapping of str to Treatment
    record : sequence of mapping
        Work on record that counts.
    since : date or None
        The day of the survey.
    lawn : GeoSeries or None
        What of each zone is lawn, in the order of the zones; their outlines when not given.
    heights : Heights or None
        Of the ground, which may be too steep for a machine in places.
    """
    judgement = judged(zones, features, specification, lawn=lawn, heights=heights)
    work = worked(judgement, specification, treatments, record, since=since)
    offered = programmes(work.possible, judgement.first, specification, followed=work.followed)
    return Decided(judgement.zones, work.marked, judgement.specification, offered, judgement.layers)


def judged(
    zones: gpd.GeoDataFrame,
    features: gpd.GeoDataFrame,
    specification: Specification,
    *,
    lawn: gpd.GeoSeries | None = None,
    heights: Heights | None = None,
) -> Judged:
    """Return the judgement on each zone, with the ground of its blades.

    Parameters
    ----------
    zones, features, specification, lawn, heights
        As :func:`decided` takes them.

    Returns
    -------
    Judged
    """
    ground = zones.geometry if lawn is None else lawn

    def judge(choices: Specification) -> tuple[gpd.GeoDataFrame, dict[str, gpd.GeoDataFrame]]:
        found = choose(zones, features, choices, effort)
        return blade_strips(found, ground, features, choices, heights)

    first, kept = judge(specification)
    follows = following(first, specification)
    if not follows.choice("postponed"):
        return Judged(first, follows, first, kept)
    again, kept = judge(follows)
    return Judged(again, follows, first, kept)


def worked(
    judgement: Judged,
    specification: Specification,
    treatments: Mapping[str, Treatment],
    record: Sequence[Row] = (),
    *,
    since: dt.date | None = None,
) -> Worked:
    """Return the steps of judged zones, with what is done and what a programme leaves for later.

    Parameters
    ----------
    judgement : Judged
    specification : Specification
        The choices without a programme followed, as :func:`judged` was given them.
    treatments, record, since
        As :func:`decided` takes them.

    Returns
    -------
    Worked
    """
    follows = judgement.specification
    asked = steps(judgement.first, specification, treatments)
    marked = done(asked, record, since=since)
    possible = marked.steps
    if follows.choice("postponed"):
        rows = follow(steps(judgement.zones, follows, treatments), asked, follows)
        marked = done(rows, record, since=since)
    allowed = year_doses(marked.steps, marked.left, follows)
    gated = on_the_day(allowed, follows)
    return Worked(Marked(gated, marked.left), marked.steps, possible)
