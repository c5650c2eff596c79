"""The things that are handed on: a site, choices, a plan, a paper.

Everything here is frozen. A step makes a copy with columns added on the right; nothing is changed
under anybody's hands. What the columns mean is in :mod:`lawnmap.schema`.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import pandas as pd
from shapely.geometry import shape

from lawnmap import schema
from lawnmap.agronomy.catching import CatchTest
from lawnmap.days import Dates
from lawnmap.found import Heights, SurfaceHeights
from lawnmap.glance import PlanGlance, SiteGlance
from lawnmap.grids import GridMap

FORMAT = 1  # of site.geojson; raised together with a function in store/migrations.py
LONLAT = "OGC:CRS84"


@dataclass(frozen=True, repr=False)
class Site(SiteGlance):
    """A site: one GeoJSON document as it stands on disk, and the tables read from it.

    Attributes
    ----------
    document : dict
        RFC 7946 FeatureCollection with the foreign member ``lawnmap``. Properties and members
        that lawnmap does not know are kept in it as they are.
    heights : Heights or None
        Ground heights, longitude, latitude [°] and metres; in a grid all three are NaN where there
        is none.
    surface : SurfaceHeights or None
        Heights of what stands on the site and round it, whether it is mapped or not.
    """

    document: Mapping[str, Any] = field(repr=False)
    heights: Heights | None = field(default=None, repr=False, compare=False)
    surface: SurfaceHeights | None = field(default=None, repr=False, compare=False)

    @property
    def header(self) -> Mapping[str, Any]:
        """The ``lawnmap`` member: format, title, revision, surveyed, timezone, placed, anchor."""
        header: Mapping[str, Any] = self.document.get("lawnmap", {})
        return header

    @property
    def title(self) -> str:
        """The site's public title."""
        return str(self.header.get("title", ""))

    @property
    def revision(self) -> int:
        """How often this site has been saved."""
        return int(self.header.get("revision", 0))

    @property
    def surveyed(self) -> dt.date | None:
        """The day the lawn was looked at, when the header has one."""
        day = self.header.get("surveyed")
        return dt.date.fromisoformat(str(day)) if day else None

    @property
    def placed(self) -> bool:
        """Whether the outlines have a place on the earth (else they lie about an anchor)."""
        return bool(self.header.get("placed", True))

    @cached_property
    def zones(self) -> gpd.GeoDataFrame:
        """The zones, indexed by ``zone_id``, with every fact column of the schema."""
        return _table(self.document, "zone").set_index("zone_id")

    @cached_property
    def features(self) -> gpd.GeoDataFrame:
        """Everything mapped that is not a zone, with the column ``feature`` telling its kind."""
        return _table(self.document, "other")

    def with_features(self, features: list[dict[str, Any]]) -> Site:
        """Return this site with another list of GeoJSON features."""
        return replace(self, document={**self.document, "features": features})

    def with_header(self, **changes: Any) -> Site:
        """Return this site with members of its ``lawnmap`` header changed."""
        return replace(self, document={**self.document, "lawnmap": {**self.header, **changes}})


def _table(document: Mapping[str, Any], which: str) -> gpd.GeoDataFrame:
    """Make the table of zones, or of all other features, with every fact column present."""
    features = [
        each
        for each in document.get("features", [])
        if (each["properties"].get("feature") == "zone") == (which == "zone")
    ]
    columns = schema.facts("zones" if which == "zone" else "features")
    data: dict[str, Any] = {
        column.name: pd.Series(
            [each["properties"].get(column.name) for each in features], dtype=column.dtype
        )
        for column in columns
    }
    geometry = [shape(each["geometry"]) for each in features]
    return gpd.GeoDataFrame(data, geometry=geometry, crs=LONLAT)


@dataclass(frozen=True)
class Product:
    """A label card: what the user's product says of itself. Nothing here is ours.

    Rates are per m² of ground. None means the label does not say (or nobody typed it in), which
    is never filled with a guess.
    """

    name: str
    form: str  # liquid, soluble, lawn sand, granule, seed, feed, dressing
    authorised_for_moss: bool = False
    authorisation_no: str = ""
    country: str = ""
    use_by: dt.date | None = None
    user: str = ""  # home, professional
    analysis_pct: float | None = None
    analysis_as: str = ""  # Fe, FeSO4, FeSO4·H2O, FeSO4·7H2O
    analysis_basis: str = ""  # w/w, w/v, g/l
    density_kg_l: float | None = None
    bulk_kg_l: float | None = None  # a litre as it is poured into a hopper
    nitrogen_pct: float | None = None
    rate_printed: str = ""
    rate_typed_again: str = ""
    rate_g_m2: float | None = None
    rate_ml_m2: float | None = None
    water_l_m2: float | None = None
    water_low_l_m2: float | None = None
    water_high_l_m2: float | None = None
    most_doses_a_year: int | None = None
    least_days_between: int | None = None
    iron_to_rake_days: int | None = None
    iron_to_seed_days: int | None = None
    seed_to_iron_days: int | None = None
    rainfast_h: float | None = None
    keep_off: str = ""
    untreated_strip_m: float | None = None
    applicators: tuple[str, ...] = ()
    purity_pct: float | None = None
    germination_pct: float | None = None
    packs: tuple[tuple[float, str, float | None], ...] = ()  # size, unit (g or ml), price
    stock: float = 0.0  # g or ml in the shed
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True)
class Machine:
    """A tool or machine to hand."""

    name: str
    kind: str  # rake, electric, battery, petrol, tractor, mower, corer, can, knapsack, spreader …
    width_m: float | None = None
    overall_width_m: float | None = None
    speed_km_h: float | None = None
    field_efficiency: float | None = None
    box_l: float | None = None
    hopper_kg: float | None = None  # what the hopper of a spreader may carry; its litres are box_l
    tank_l: float | None = None
    water_l_m2: float | None = None
    calibrated: dt.date | None = None  # the day on which water_l_m2 was measured
    paced: dt.date | None = None  # the day on which width_m or speed_km_h was measured
    caught: tuple[CatchTest, ...] = ()  # of a spreader, oldest first
    area_m2_h: float | None = None
    hire_a_day: float | None = None
    weight_kg: float | None = None
    most_slope_deg: float | None = None
    vibration_m_s2: float | None = None
    yield_share: float | None = None  # moss a pass lifts, against a scarifying rake
    hire_least_days: int | None = None
    hire_delivery: float | None = None
    count: int = 1
    hours_a_day: float | None = None
    available_from: dt.date | None = None
    available_until: dt.date | None = None

    def tests_of(self, product: str) -> tuple[CatchTest, ...]:
        """Return the newest catch test of a product at each setting, oldest first."""
        own = [each for each in self.caught if each.product.casefold() == product.casefold()]
        return tuple({each.setting: each for each in own}.values())


@dataclass(frozen=True)
class Specification:
    """The choices for a site, and what of the depot it may use.

    Attributes
    ----------
    choices : dict
        ``specification.toml`` as parsed and checked, with the defaults filled in.
    products : dict of str to Product
        Label cards by name.
    machines : dict of str to Machine
        Machines by name.
    by_zone : dict of str to dict
        What differs for single zones.
    words : bool
        Whether sentences are wanted. A million zones are worked out in figures and rules alone;
        their sentences are made where somebody reads them.
    """

    choices: Mapping[str, Any]
    products: Mapping[str, Product] = field(default_factory=dict)
    machines: Mapping[str, Machine] = field(default_factory=dict)
    by_zone: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    words: bool = True

    def choice(self, name: str, zone_id: str = "") -> Any:
        """Return a choice, the zone's own before the site's."""
        zone = self.by_zone.get(zone_id, {})
        return zone[name] if name in zone else self.choices.get(name)

    def each(self, name: str, zone_ids: pd.Index) -> npt.NDArray[np.object_]:
        """Return a choice for each of some zones; only those with one of their own are looked at.

        Parameters
        ----------
        name : str
        zone_ids : Index, shape (n,)

        Returns
        -------
        (n,) array of object
        """
        found = np.empty(len(zone_ids), dtype=object)
        found.fill(self.choices.get(name))
        own = {zone_id for zone_id, choices in self.by_zone.items() if name in choices}
        if own:
            for place in np.flatnonzero(zone_ids.isin(list(own))).tolist():
                found[place] = self.by_zone[str(zone_ids[place])][name]
        return found


@dataclass(frozen=True, repr=False)
class Plan(PlanGlance):
    """A worked plan; never stored, always worked out again from facts and choices.

    Attributes
    ----------
    site, specification
        What it was worked out from.
    zones : GeoDataFrame
        The site's zones with every worked-out column.
    steps : DataFrame
        One row a zone × step: see the table ``steps`` in the schema.
    totals : DataFrame
        One row a product or material: amounts, packs, cost.
    loads : DataFrame
        One row a zone × application: containers, what goes in each, the last part-load.
    cautions : tuple of str
        In the order they are shown.
    organising : tuple of str
        Those of the cautions that are for who plans and does the work, and for nobody else.
    layers : dict of str to GeoDataFrame
        Worked-out shapes that are not zones, by name.
    today : date
        The day it was worked out for.
    dates : Dates
        When the work is to be done.
    tables : dict of str to DataFrame
        Further tables of the schema by name, such as ``iron_forms``.
    grids : dict of str to tuple of GridMap
        ``sun`` in hours a day, ``thatch`` between cores in mm, where they were worked out.
    """

    site: Site
    specification: Specification
    zones: gpd.GeoDataFrame
    steps: pd.DataFrame
    totals: pd.DataFrame
    loads: pd.DataFrame
    cautions: tuple[str, ...]
    today: dt.date
    layers: Mapping[str, gpd.GeoDataFrame] = field(default_factory=dict)
    warnings: tuple[str, ...] = ()
    organising: tuple[str, ...] = ()
    dates: Dates = field(default_factory=Dates)
    tables: Mapping[str, pd.DataFrame] = field(default_factory=dict)
    grids: Mapping[str, tuple[GridMap, ...]] = field(default_factory=dict)
