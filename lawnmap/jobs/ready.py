"""A site with all that its plan is worked out from: choices, calendar, hours of sun, the day."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import Any

import geopandas as gpd

from lawnmap import model
from lawnmap.days import Calendar
from lawnmap.errors import UsageProblem
from lawnmap.jobs import features, opening, today
from lawnmap.jobs.beginning import Beginning, beginning
from lawnmap.jobs.calendar import calendar
from lawnmap.jobs.choices import choices
from lawnmap.jobs.opening import Opened
from lawnmap.jobs.reading import Reading
from lawnmap.light import Sunlight
from lawnmap.model import Specification
from lawnmap.readers import frame
from lawnmap.schema import facts
from lawnmap.store import depot as depots
from lawnmap.store import specification as specifications
from lawnmap.store.folder import Folder
from lawnmap.store.sunlight import kept

DAY = "today"  # the choice that is no choice: the day the plan is worked out for
ERROR = "outline_sigma_m"
OF_ZONES = "zones"  # the table of TOML with what single zones have otherwise


@dataclass(frozen=True, kw_only=True, repr=False, eq=False)
class Site(model.Site):
    """A site as it was opened, and all that its plan is worked out from.

    Its tables are ``zones`` and ``features``, plain GeoDataFrames in longitude and latitude.
    Nothing of it changes: :meth:`with_choices` and :meth:`with_zones` return another site, and
    nothing is saved.

    Attributes
    ----------
    specification : Specification
        The choices, with the label cards and machines of the depot.
    calendar : Calendar
        What was done and promised, closed days, weather.
    today : date
        The day to plan for.
    sun : tuple of Sunlight
        Hours of sun that were worked out before.
    folder : Folder or None
        Where it is kept; None for a site plan that was only read.
    warnings : tuple of str
        What a person should know of how it was read.

    Examples
    --------
    >>> import lawnmap
    >>> site = lawnmap.sample()
    >>> site
    <Site 'Marram House (invented)': 12 zones, 30 other features>
    >>> float(site.zones.loc["front-west", "moss_rating"])
    2.0
    """

    specification: Specification
    calendar: Calendar = field(default_factory=Calendar)
    today: dt.date
    sun: tuple[Sunlight, ...] = ()
    folder: Folder | None = None
    warnings: tuple[str, ...] = ()

    @property
    def zones(self) -> gpd.GeoDataFrame:
        """A copy of the zones, indexed by ``zone_id``, with every fact column of the schema."""
        return super().zones.copy()

    @property
    def features(self) -> gpd.GeoDataFrame:
        """A copy of everything mapped that is not a zone; ``feature`` tells its kind."""
        return super().features.copy()

    @cached_property
    def begun(self) -> Beginning:
        """What its plan begins with: areas, sun, what the record says, and the card of iron."""
        return beginning(self, self.specification, self.calendar, today=self.today, sun=self.sun)

    def with_choices(self, **changes: Any) -> Site:
        """Return this site with other choices, checked as ``specification.toml`` is.

        Parameters
        ----------
        **changes
            Keys of ``specification.toml``, and ``zones`` for what single zones have otherwise; a
            table is a dict, of which only the keys that are given change. None stands for a key
            that is left out.

        Returns
        -------
        Site

        Raises
        ------
        InputRefused
            For a key that is not known, or a value that it cannot have.

        Examples
        --------
        >>> import lawnmap
        >>> site = lawnmap.sample()
        >>> without = site.with_choices(iron="not on this site", crew={"people": 2})
        >>> without.specification.choice("iron"), site.specification.choice("iron")
        ('not on this site', 'allowed')
        """
        own = {key: each for key, each in self.specification.choices.items() if key != DAY}
        values = _over(own | {OF_ZONES: self.specification.by_zone}, changes)
        made = specifications.checked(
            values,
            products=self.specification.products,
            machines=self.specification.machines,
            zone_ids=[str(each) for each in self.zones.index],
            name="choices",
        )
        return replace(self, specification=replace(made, choices={**made.choices, DAY: self.today}))

    def with_products(self, cards: str) -> Site:
        """Return this site with further label cards, or others in the place of those it has.

        Parameters
        ----------
        cards : str
            As ``products.toml`` has them, ``[[product]]`` by ``[[product]]``; one of a name that is
            there already takes its place.

        Returns
        -------
        Site

        Raises
        ------
        InputRefused
            With the card and the key that is wrong.
        UsageProblem
            For anything else than text.
        """
        if not isinstance(cards, str):
            raise UsageProblem(
                f"label cards are text as in products.toml, not a {type(cards).__name__}",
                remedy='Write [[product]] and under it name = "…", as in the file.',
            )
        more = depots.parse_products(cards.encode(), name="products")
        products = {**self.specification.products, **more}
        return replace(self, specification=replace(self.specification, products=products))

    def with_zones(self, zones: gpd.GeoDataFrame) -> Site:
        """Return this site with other zones: outlines and facts as the table has them.

        Parameters
        ----------
        zones : GeoDataFrame
            Indexed by zone_id as ``zones`` is, in any CRS that it names. Columns that a step
            works out are left out; every fact that the table does not have is unknown.

        Returns
        -------
        Site

        Raises
        ------
        InputRefused
            With the row and the column of what is wrong.
        """
        if zones.index.name is None and frame.ZONE_ID not in zones.columns:
            zones = zones.rename_axis(frame.ZONE_ID)  # concat drops the name where it finds two
        names = {each.name for each in facts("zones")}
        columns = [each for each in zones.columns if each in names or each == zones.geometry.name]
        found = frame.found(zones[columns], kind="zone")
        others = [each for each in self.document["features"] if not _is_zone(each)]
        # Its zones are in longitude and latitude even where these have no place on the earth.
        bare = self.with_features(others).with_header(placed=True)
        taken = features.take(bare, found, Reading(kind="zone"))
        there = set(taken.site.zones.index)
        own = {each: says for each, says in self.specification.by_zone.items() if each in there}
        kept = [_as_given(each, zones) for each in taken.site.document["features"]]
        return replace(
            self,
            document={**self.document, "features": kept},
            specification=replace(self.specification, by_zone=own),
            warnings=(*self.warnings, *taken.warnings),
        )


def ready(
    opened: Opened, *, personal: Path, depot: Path | None = None, day: dt.date | None = None
) -> Site:
    """Return an opened site with all that its plan is worked out from.

    Parameters
    ----------
    opened : Opened
    personal : Path
        The person's own folder, where a depot is looked for last.
    depot : Path or None
        The depot that the person named.
    day : date or None
        The day to plan for; the day it is on the site when not given.

    Raises
    ------
    InputRefused, SiteDamaged
        When one of its files cannot be read.
    """
    day = day or today.today(opened.folder.path if opened.folder else None)
    site = opened.site
    return Site(
        site.document,
        site.heights,
        site.surface,
        specification=choices(opened, depot=depot, personal=personal, today=day),
        calendar=calendar(opened),
        today=day,
        sun=tuple(kept(opened.folder)),
        folder=opened.folder,
        warnings=tuple(opened.warnings),
    )


def open_site(
    path: Path | str, *, personal: Path, depot: Path | None = None, day: dt.date | None = None
) -> Site:
    """Open a site folder, or a site plan to look at; parameters are those of :func:`ready`.

    Parameters
    ----------
    path : path
    personal, depot, day
        As :func:`ready` takes them.

    Returns
    -------
    Site

    Raises
    ------
    InputRefused, SiteDamaged
        When there is no such site or it cannot be read.
    """
    return ready(opening.open_site(path), personal=personal, depot=depot, day=day)


def _over(values: Any, changes: Any) -> dict[str, Any]:
    """Return a table of choices with others put over it, and without what is not set."""
    result = {key: each for key, each in values.items() if each is not None}
    for key, each in changes.items():
        before = result.get(key)
        if each is None:
            result.pop(key, None)
        else:
            result[key] = (
                _over(before if isinstance(before, dict) else {}, each)
                if isinstance(each, dict)
                else each
            )
    return {
        key: _over(each, {}) if isinstance(each, dict) else each for key, each in result.items()
    }


def _as_given(feature: Any, zones: gpd.GeoDataFrame) -> Any:
    """Return a zone without the error that reading works out for a walk: a step does it again."""
    if not _is_zone(feature) or feature["properties"]["zone_id"] in _with_error(zones):
        return feature
    own = {key: each for key, each in feature["properties"].items() if key != ERROR}
    return {**feature, "properties": own}


def _with_error(zones: gpd.GeoDataFrame) -> set[str]:
    return set(zones.index[zones[ERROR].notna()]) if ERROR in zones.columns else set()


def _is_zone(feature: Any) -> bool:
    return bool(feature["properties"].get("feature") == "zone")
