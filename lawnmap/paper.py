"""What an export gets: a plan cut down to its audience, and what else goes on the paper."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import geopandas as gpd
import pandas as pd

from lawnmap.model import Plan

Bounds = tuple[float, float, float, float]


@dataclass(frozen=True)
class Photo:
    """A photo for a paper, drawn anew so that nothing but what is seen is left of it.

    Attributes
    ----------
    zone_id : str
        The zone it shows; empty for the site.
    day : str
        ISO date of the survey it belongs to; empty when nobody said.
    image : bytes
        WebP without any metadata.
    size : (int, int)
        Width and height in pixels.
    earlier : bool
        Whether it belongs to the earlier survey of two.
    """

    zone_id: str
    day: str
    image: bytes
    size: tuple[int, int]
    earlier: bool = False


@dataclass(frozen=True)
class Earlier:
    """A survey that was closed before, to be set beside today's.

    Attributes
    ----------
    day : str
        ISO date on which it was made.
    zones : GeoDataFrame
        Its zones by zone_id, cut down to the audience as the plan's are: those that are there
        still, and those that zones of today were cut or merged from.
    changes : DataFrame
        A row a zone and measure, as ``processing/surveying/compare`` makes it, with two columns
        more: ``recut``, whether the zone was cut or merged since, and ``kin``, from or into what.
    now : str
        ISO date of the later look; empty when nobody said.
    warnings : tuple of str
        What must be known before anything is read from it.
    """

    day: str
    zones: gpd.GeoDataFrame
    changes: pd.DataFrame
    now: str = ""
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True)
class Basemap:
    """Tiles from a host that thereby sees where the reader looks; only ever by request.

    Attributes
    ----------
    url : str
        Address with ``{z}``, ``{x}`` and ``{y}``, https.
    attribution : str
        What the host asks to be said, as text.
    max_zoom : int
    """

    url: str
    attribution: str
    max_zoom: int = 19


@dataclass(frozen=True)
class Paper:
    """What an export gets: a plan already cut down to what its audience may see.

    Attributes
    ----------
    plan : Plan
        Disclosed: see ``processing/disclose``. Its tables hold allowed columns only.
    audience : str
        ``owner``, ``crew``, ``client`` or ``public``.
    units : str
        ``metric``, ``imperial`` or ``us``; ``us first`` and such for a page with a switch, on which
        every figure is said in all three.
    language : str
        Of the words on it, such as ``en``.
    issued : str
        Id and date of issue, empty for a trial export.
    schematic : bool
        Whether the real position is to be left out.
    pictures : tuple of (bytes, bounds)
        Plan pictures to lie under the zones, only ever by request: WebP, and its west, south, east
        and north edge [°], between which it is even in Web Mercator.
    earlier : Earlier, optional
        The survey to compare with.
    photos : tuple of Photo
        Of each zone the older ones first.
    basemap : Basemap, optional
    scale : int
        Metres on the ground for a metre of paper, of a plan at true scale; 0 is the largest that
        fits.
    sheet : str
        Size of the paper such a plan is for: ``A4``, ``Letter``, or ``600x400`` in millimetres.
    crs : str
        CRS of a file for GIS programs that may be in any (its export has ``IN_CRS``): a code or
        WKT; longitude and latitude when empty.
    """

    plan: Plan
    audience: str = "owner"
    units: str = "metric"
    language: str = "en"
    issued: str = ""
    schematic: bool = False
    pictures: tuple[tuple[bytes, Bounds], ...] = ()
    earlier: Earlier | None = None
    photos: tuple[Photo, ...] = ()
    basemap: Basemap | None = None
    scale: int = 0
    sheet: str = "A4"
    crs: str = ""

    def of(self, **changes: Any) -> Paper:
        """Return this paper with some fields changed."""
        return replace(self, **changes)


@dataclass(frozen=True)
class SitesPaper:
    """What a paper of many sites gets: tables already cut down to what its audience may see.

    Attributes
    ----------
    title : str
    today : date
        The day it was worked out for.
    tables : dict of str to DataFrame
        By their names in the schema: see ``processing/many/disclosed``.
    audience, units, issued : str
        As on :class:`Paper`.
    choices : dict
        What stands on a paper as it is: ``money`` with its currency, ``bags``, ``contact``.
    cautions : tuple of str
        What must be known before anything on the paper is acted on, each a whole sentence.
    beside : dict of str to str
        By site_id, where a site's own map lies beside this file: a relative path, each part of it
        in percent encoding.
    """

    title: str
    today: dt.date
    tables: Mapping[str, pd.DataFrame] = field(repr=False)
    audience: str = "owner"
    units: str = "metric"
    issued: str = ""
    choices: Mapping[str, Any] = field(default_factory=dict)
    cautions: tuple[str, ...] = ()
    beside: Mapping[str, str] = field(default_factory=dict, repr=False)

    def of(self, **changes: Any) -> SitesPaper:
        """Return this paper with some fields changed."""
        return replace(self, **changes)

    def table(self, name: str) -> pd.DataFrame:
        """Return a table; an empty one when its reader may not see it, or nobody made it."""
        return self.tables.get(name, pd.DataFrame())
