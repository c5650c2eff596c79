"""What the sun gives a site: hours of direct sun by zone and on a grid. Frozen, as the model is."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field

from lawnmap.grids import GridMap


@dataclass(frozen=True)
class ZoneSun:
    """Hours of direct sun a day in one zone, over its points."""

    mean_h: float
    low_h: float  # a tenth of the zone has less
    high_h: float  # a tenth of the zone has more
    points: int


@dataclass(frozen=True)
class Sunlight:
    """Hours of direct sun on a site over a range of days.

    Attributes
    ----------
    first, last : date
        The first and last day, both in it.
    season : bool
        Whether that is the growing season, by which grass is judged.
    step_m : float
        From a point of the grid to the next [m].
    latitude : float
        Of the site [°].
    open_h : float
        Hours a day on open level ground [h].
    zones : mapping of str to ZoneSun
    maps : tuple of GridMap
        One for each cluster of zones: nearly always one.
    told : tuple of str
        What a person should know, each a whole sentence.
    facts : mapping of str to str
        Digests of what it was worked out from, by what that is.
    """

    first: dt.date
    last: dt.date
    season: bool
    step_m: float
    latitude: float
    open_h: float
    zones: Mapping[str, ZoneSun]
    maps: tuple[GridMap, ...] = ()
    told: tuple[str, ...] = ()
    facts: Mapping[str, str] = field(default_factory=dict)
