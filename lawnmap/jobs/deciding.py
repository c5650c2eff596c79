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
    ground = zones.geometry if lawn is None else lawn
    judged, kept = blade_strips(
        choose(zones, features, specification, effort), ground, features, specification, heights
    )
    asked = steps(judged, specification, treatments)
    marked = done(asked, record, since=since)
    possible, first = marked.steps, judged
    follows = following(judged, specification)
    if follows.choice("postponed"):
        judged, kept = blade_strips(
            choose(zones, features, follows, effort), ground, features, follows, heights
        )
        rows = follow(steps(judged, follows, treatments), asked, follows)
        marked = done(rows, record, since=since)
    offered = programmes(possible, first, specification, followed=marked.steps)
    allowed = year_doses(marked.steps, marked.left, follows)
    gated = on_the_day(allowed, follows)
    return Decided(judged, Marked(gated, marked.left), follows, offered, kept)
