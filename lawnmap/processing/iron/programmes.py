"""The step ``programmes``: what to do when autumn is too short for iron, its wait and then seed.

Worked back from the last day for seed. Three ways out are laid side by side: each costs something
else. Only the user chooses; a plan follows a choice and says what it leaves for later.
"""

from __future__ import annotations

import datetime as dt
from typing import Any, NamedTuple

import geopandas as gpd
import pandas as pd

from lawnmap import schema
from lawnmap.model import Specification
from lawnmap.processing.buying.totals import totals
from lawnmap.processing.days.season_year import SeasonYear, season_year
from lawnmap.processing.days.waits import IF_NEEDED, wait
from lawnmap.processing.iron.label_card import OPERATION, SPRAYED, first_day, iron_card
from lawnmap.processing.iron.postponed import ALL, IRON, IRON_NOW, SEED_NOW, SPRING_IRON, left
from lawnmap.schema import DO, PRICING

RULES = {
    SPRING_IRON: "programme_spring_iron",
    SEED_NOW: "programme_seed_now",
    IRON_NOW: "programme_iron_now",
}
# What is suggested is the first that is possible: grass that closes before winter keeps moss out.
SUGGESTED = (SEED_NOW, IRON_NOW, SPRING_IRON)
SEED = "overseeding"
BLADES = ("raking", "scarifying")
COLUMNS = {column.name: column.dtype for column in schema.columns("programmes")}
LIMIT_NOT_SET = (
    "The label sets no limit for new grass. Not set: no iron until it does, or its maker says."
)
LIMIT_LATE = "By the label iron may go on new grass from {day}, when spring is over."
GONE = "Its days for this season are over."
SQUEEZE = (
    "Autumn is too short: from {first} the waits take {days} days, so seed falls on {sown}, and "
    "it is sown by {last}. Three ways out stand under programmes: spring iron, seed now, iron now. "
    "Choose one as programme in the specification."
)


class Chain(NamedTuple):
    """First step, days from it until seed, the day that makes, and the last day for seed."""

    first: dt.date
    days: int
    sown: dt.date
    last: dt.date

    @property
    def short(self) -> bool:
        """Whether the season is too short."""
        return self.sown > self.last

    def told(self) -> str:
        """Return the caution."""
        return SQUEEZE.format(**self._asdict())


class Days(NamedTuple):
    """First and last day of a kind of work; both None where there is none."""

    first: dt.date | None = None
    last: dt.date | None = None


class Way(NamedTuple):
    """Days of iron, blades and seed in one programme, and what stands in its way."""

    iron: Days
    blades: Days
    seed: Days
    remark: str = ""


def chain(
    steps: pd.DataFrame, zones: gpd.GeoDataFrame, specification: Specification
) -> Chain | None:
    """Return the longest way from the first step to seed on zones that also get iron."""
    days = longest_to_seed(steps)
    if not days:
        return None
    first, year = first_day(specification), season_year(zones, specification)
    return Chain(first, days, first + dt.timedelta(days=days), year.last("seed", "autumn"))


def longest_to_seed(steps: pd.DataFrame) -> int:
    """Return the days from the first step to seed, where iron goes too; 0 where nowhere."""
    longest = 0
    sure = _live(steps)
    for _, rows in sure[sure["rule"] != IF_NEEDED].groupby("zone_id", sort=False):
        seed = rows["operation"] == SEED
        if seed.any() and rows["operation"].isin(OPERATION.values()).any():
            days = rows["wait_days"].fillna(0.0).cumsum()
            longest = max(longest, int(days[seed].max()))
    return longest


def programmes(
    steps: pd.DataFrame, zones: gpd.GeoDataFrame, specification: Specification
) -> pd.DataFrame:
    """Return the table ``programmes`` of the schema; without a row when all fits.

    Parameters
    ----------
    steps : DataFrame
        The table ``steps`` as it would be if no programme were chosen.
    zones : GeoDataFrame
        With the columns of the step ``choose``.
    specification : Specification
    """
    found, chosen = chain(steps, zones, specification), specification.choice("programme")
    if found is None or not (found.short or chosen):
        return pd.DataFrame(columns=list(COLUMNS)).astype(COLUMNS)
    year = season_year(zones, specification)
    rows = [
        _row(SPRING_IRON, _spring_iron(year, specification), steps),
        _row(SEED_NOW, _seed_now(year, specification), steps),
        _row(IRON_NOW, _iron_now(year, steps, specification), steps),
    ]
    possible = {row["programme"] for row in rows if row["possible"]}
    suggested = next((each for each in SUGGESTED if each in possible), "")
    for row in rows:
        name = row["programme"]
        row["cost"] = (
            float("nan")
            if not row["possible"]
            else _cost(steps, left(name, zones, specification), specification)
        )
        row["answer"] = (
            "chosen" if name == chosen else "suggested" if not chosen and name == suggested else ""
        )
    return pd.DataFrame(rows, columns=list(COLUMNS)).astype(COLUMNS)


def _spring_iron(year: SeasonYear, specification: Specification) -> Way:
    to_blades, to_seed = _waits(specification)
    spring = year if year.in_spring() else year.next()
    role = _role(specification)
    start = max(year.day, spring.first(role, "spring"))
    iron = Days(start, spring.last("blades light", "spring") - to_blades)
    blades = Days(start + to_blades, spring.last("blades light", "spring"))
    seed = Days(
        max(spring.first("seed", "autumn"), start + to_seed), spring.last("seed", "autumn")
    )  # fmt: skip
    return Way(iron, blades, seed)


def _seed_now(year: SeasonYear, specification: Specification) -> Way:
    season = "spring" if year.day <= year.last("seed", "spring") else "autumn"
    work = Days(max(year.day, year.first("seed", season)), year.last("seed", season))
    spring, role = year.next(), _role(specification)
    product = iron_card(specification).product
    limit = product.seed_to_iron_days if product is not None else None
    if limit is None:
        return Way(Days(), work, work, LIMIT_NOT_SET)
    old = (work.first or year.day) + dt.timedelta(days=limit)
    iron = Days(max(spring.first(role, "spring"), old), spring.last(role, "spring"))
    if old > spring.last(role, "spring"):
        return Way(Days(), work, work, LIMIT_LATE.format(day=old))
    return Way(iron, work, work)


def _iron_now(year: SeasonYear, steps: pd.DataFrame, specification: Specification) -> Way:
    if year.in_spring():
        return _spring_iron(year, specification)
    to_blades, to_seed = _waits(specification)
    role, spring = _role(specification), year.next()
    end = min(year.last("blades heavy", "autumn", seed="no"), year.last(role, "autumn") + to_blades)
    begin = max(year.day, year.first(role, "autumn"))
    iron = begin + _soonest(steps, tuple(OPERATION.values()))
    seed = Days(max(spring.first("seed", "spring"), iron + to_seed), spring.last("seed", "spring"))
    blades = Days(begin + _soonest(steps, BLADES), end)
    return Way(Days(iron, end - to_blades), blades, seed)


def _waits(specification: Specification) -> tuple[dt.timedelta, dt.timedelta]:
    """Return the waits from iron to the blades and to seed: the label's, else the published."""
    card = iron_card(specification)
    iron = {"operation": OPERATION.get(card.form, "iron_soluble"), "product": ""}
    iron["product"] = card.product.name if card.product else ""
    after = ({"operation": name, "product": ""} for name in (BLADES[0], SEED))
    to_blades, to_seed = (dt.timedelta(days=wait(iron, each, specification)) for each in after)
    return to_blades, to_seed


def _soonest(steps: pd.DataFrame, operations: tuple[str, ...]) -> dt.timedelta:
    """Return the time from the first step until the first of some operations, where soonest."""
    found = []
    for _, rows in _live(steps).groupby("zone_id", sort=False):
        days = rows["wait_days"].fillna(0.0).cumsum()[rows["operation"].isin(operations)]
        found += [int(days.min())] if len(days) else []
    return dt.timedelta(days=min(found, default=0))


def _role(specification: Specification) -> str:
    form = iron_card(specification).form
    return "lawn sand" if form and form not in SPRAYED else "iron spray"


def _row(programme: str, way: Way, steps: pd.DataFrame) -> dict[str, Any]:
    kinds = {"iron": way.iron, "blades": way.blades, "seed": way.seed}
    possible = all(
        each.first is None or each.last is None or each.first <= each.last
        for each in kinds.values()
    )
    days = {
        f"{kind}_{end}": day.isoformat() if day else ""
        for kind, span in kinds.items()
        for end, day in (("from", span.first), ("to", span.last))
    }
    if not possible:
        days = dict.fromkeys(days, "")
    return {
        "programme": programme,
        **days,
        "iron_kg": _iron_kg(steps) if way.iron.first and possible else 0.0,
        "possible": possible,
        "rule": RULES[programme],
        "remark": way.remark if possible else GONE,
    }


def _iron_kg(steps: pd.DataFrame) -> float:
    """Return the elemental iron of one application everywhere [kg]."""
    live = _live(steps)
    once = live[live["operation"].isin(OPERATION.values()) & (live["rule"] != IF_NEEDED)]
    return float((once["iron_g_m2"] * once["area_m2"]).sum() / 1000)


def _cost(steps: pd.DataFrame, later: str, specification: Specification) -> float:
    """Return the price of the materials for what is done this season; NaN when none has one."""
    if later == ALL:
        return 0.0
    waiting = tuple(OPERATION.values()) if later == IRON else (SEED,)
    bought = totals(steps[~steps["operation"].isin(waiting)], specification)["cost"]
    return float(bought.sum()) if bought.notna().any() else float("nan")


def _live(steps: pd.DataFrame) -> pd.DataFrame:
    return steps[steps["status"].isin([DO, PRICING])]
