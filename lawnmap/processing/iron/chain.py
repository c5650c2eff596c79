"""Whether iron, its wait and then seed fit in the season: worked back from the last day for seed.

Where they do not, a plan without a programme keeps to them all the same, a season later. That is
said, with the three programmes that could be chosen.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from typing import NamedTuple

import geopandas as gpd
import pandas as pd

from lawnmap.model import Specification
from lawnmap.processing.days.season_roles import HEAVY, SPRAYS, iron_role
from lawnmap.processing.days.season_year import SeasonYear, season_year
from lawnmap.processing.days.waits import IF_NEEDED
from lawnmap.processing.iron.iron_place import AFTER
from lawnmap.processing.iron.label_card import OPERATION
from lawnmap.schema import DO, PRICING

SEED = "overseeding"
BLADES = ("raking", "scarifying")
IRON = tuple(OPERATION.values())
KINDS = {"iron": IRON, "blades": BLADES, "seed": (SEED,)}
SPRING, AUTUMN = "spring", "autumn"
TOO_SHORT = (
    "{season} is too short{where}: from {first} the waits take {days} days, so seed falls on "
    "{sown}, and it is sown by {last}."
)
IRON_LATE = (
    "{season} is too short{where}: {product} goes on by {iron_last}, and the first day for it is "
    "{iron_day}."
)
PUT_OFF = "In spring only light work is done, and more is due{where}."
KEPT = (
    "No programme is chosen, so this plan keeps to iron, its wait and then seed: {days}. To "
    'choose another way, write programme = "spring iron", "seed now" or "iron now" in '
    "specification.toml; the days and the cost of each stand under programmes."
)


class Chain(NamedTuple):
    """The way from the first step to seed on one zone that also gets iron.

    Attributes
    ----------
    zone_id, season : str
        The season it falls in, by the first day and the choices.
    first, sown, last : date
        The day it begins, the day that makes for seed, and the last day for seed.
    days : int
        From the first step until seed.
    iron_day, iron_last : date
        The day that makes for iron, and the last day for that kind.
    product : str
    put_off : bool
        Whether the first day lies in a spring in which no blades may do so much.
    """

    zone_id: str
    season: str
    first: dt.date
    days: int
    sown: dt.date
    last: dt.date
    iron_day: dt.date
    iron_last: dt.date
    product: str
    put_off: bool

    @property
    def late(self) -> bool:
        """Whether the season that it falls in is too short for it."""
        return self.sown > self.last or self.iron_day > self.iron_last

    @property
    def short(self) -> bool:
        """Whether it cannot be done in the season of the first day."""
        return self.late or self.put_off


class ZoneSteps(NamedTuple):
    """The steps of one zone that surely take place: what, with what, on which day from the first.

    Every list runs with the steps.
    """

    zone_id: str
    operations: list[str]
    products: list[str]
    days: list[int]

    def has(self, operations: Sequence[str]) -> bool:
        """Tell whether one of some operations is among them."""
        return any(each in operations for each in self.operations)

    def first(self, operations: Sequence[str]) -> tuple[str, str]:
        """Return the first step of some operations, and its product."""
        here = zip(self.operations, self.products, strict=True)
        return next(each for each in here if each[0] in operations)

    def days_of(self, operations: Sequence[str]) -> list[int]:
        """Return the days of some operations."""
        here = zip(self.operations, self.days, strict=True)
        return [day for operation, day in here if operation in operations]

    def last(self, operations: Sequence[str]) -> int:
        """Return the day of the last of some operations; 0 where there is none."""
        return max(self.days_of(operations), default=0)


def by_zone(steps: pd.DataFrame) -> Iterator[ZoneSteps]:
    """Yield the steps that take place zone by zone, applications if needed left out."""
    sure = live(steps)
    sure = sure[sure["rule"] != IF_NEEDED]
    found: dict[str, ZoneSteps] = {}
    waits = sure["wait_days"].fillna(0.0)
    cells = zip(sure["zone_id"], sure["operation"], sure["product"], waits, strict=True)
    for zone_id, operation, product, wait in cells:
        own = found.setdefault(str(zone_id), ZoneSteps(str(zone_id), [], [], []))
        own.operations.append(operation)
        own.products.append(str(product))
        own.days.append((own.days[-1] if own.days else 0) + int(wait))
    yield from found.values()


def chains(
    steps: pd.DataFrame, zones: gpd.GeoDataFrame, specification: Specification
) -> list[Chain]:
    """Return the way from the first step to seed on each zone that also gets iron."""
    year = season_year(zones, specification)
    heavy = zones["verdict"].isin(HEAVY).to_dict()
    later = (zones["iron_order"] == AFTER).to_dict()
    return [
        _chain(rows, year, specification, heavy=heavy[rows.zone_id], later=later[rows.zone_id])
        for rows in _with_both(steps)
    ]


def chain(
    steps: pd.DataFrame, zones: gpd.GeoDataFrame, specification: Specification
) -> Chain | None:
    """Return the worst of :func:`chains`: one that is too short, the longest; None without any."""
    found = chains(steps, zones, specification)
    return max(found, key=lambda each: (each.late, each.short, each.days), default=None)


def longest_to_seed(steps: pd.DataFrame) -> int:
    """Return the days from the first step to seed, where iron goes too; 0 where nowhere."""
    return max((rows.last((SEED,)) for rows in _with_both(steps)), default=0)


def live(steps: pd.DataFrame) -> pd.DataFrame:
    """Return the steps that take place, an application only if needed among them."""
    return steps[steps["status"].isin([DO, PRICING])]


def told(
    steps: pd.DataFrame, zones: gpd.GeoDataFrame, specification: Specification
) -> tuple[str, ...]:
    """Say that the season is too short and what the plan does, which follows no programme.

    Parameters
    ----------
    steps : DataFrame
        The table ``steps``, with its days.
    zones : GeoDataFrame
        With the columns of the step ``choose``.
    specification : Specification
    """
    found = chains(steps, zones, specification)
    worst = max(found, key=lambda each: (each.late, each.short, each.days), default=None)
    if worst is None or not worst.short:
        return ()
    short = [each.zone_id for each in found if each.short]
    put_off = [each.zone_id for each in found if each.put_off]
    late = [each.zone_id for each in found if each.late]
    said = [PUT_OFF.format(where=_where(put_off, found))] if put_off else []
    if late:
        how = TOO_SHORT if worst.sown > worst.last else IRON_LATE
        cells = {**worst._asdict(), "season": worst.season.capitalize()}
        said.append(how.format(**cells, where=_where(late, found)))
    here = steps[steps["zone_id"].isin(short)]
    days = ", ".join(_first_day(name, here, each) for name, each in KINDS.items())
    return (" ".join([*said, KEPT.format(days=days)]),)


def _where(zones: Sequence[str], found: Sequence[Chain]) -> str:
    """Name zones, where they are not all that get iron and seed."""
    return f" on {', '.join(zones)}" if len(zones) < len(found) else ""


def _first_day(name: str, steps: pd.DataFrame, operations: Sequence[str]) -> str:
    """Say on which day a kind of work begins, and where it has none."""
    rows = steps[steps["operation"].isin(operations) & (steps["rule"] != IF_NEEDED)]
    none = rows["day"] == ""
    if none.all():
        return f"no day for {name}"
    where = ", ".join(dict.fromkeys(rows.loc[none, "zone_id"]))
    first = f"{name} from {rows.loc[~none, 'day'].min()}"
    return f"{first} (no day on {where})" if where else first


def _chain(
    rows: ZoneSteps, year: SeasonYear, spec: Specification, *, heavy: bool, later: bool
) -> Chain:
    chosen = spec.choice("season") or ""
    put_off = year.in_spring() and heavy and not chosen
    season = chosen or (SPRING if year.in_spring() and not heavy else AUTUMN)
    at = year.next() if season == SPRING and not year.in_spring() else year
    operation, name = rows.first(IRON)
    role = iron_role(spec.products.get(name), sprayed=operation in SPRAYS)
    blades = "blades heavy" if heavy else "blades light"
    to_iron, to_seed = rows.last(IRON), rows.last((SEED,))
    opens = [at.first(role, season) - dt.timedelta(days=to_iron)]
    if later:
        opens.append(at.first(blades, season, seed="yes" if season == AUTUMN else "any"))
    first = max(year.day, *opens)
    return Chain(
        zone_id=rows.zone_id,
        season=season,
        first=first,
        days=to_seed,
        sown=max(first + dt.timedelta(days=to_seed), at.first("seed", season)),
        last=at.last("seed", season),
        iron_day=first + dt.timedelta(days=to_iron),
        iron_last=at.last(role, season),
        product=name or "iron",
        put_off=put_off,
    )


def _with_both(steps: pd.DataFrame) -> Iterator[ZoneSteps]:
    """Yield the steps of zones that get iron and seed."""
    return (rows for rows in by_zone(steps) if rows.has((SEED,)) and rows.has(IRON))
