"""The step ``programmes``: what to do when a season is too short for iron, its wait and seed.

Three ways out are laid side by side: each costs something else. Only the user chooses; a plan
follows a choice and says what it leaves for later.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from typing import Any, NamedTuple

import geopandas as gpd
import pandas as pd

from lawnmap import schema
from lawnmap.model import Specification
from lawnmap.processing.buying.totals import totals
from lawnmap.processing.days.season_roles import HEAVY, iron_role
from lawnmap.processing.days.season_year import SeasonYear, season_year
from lawnmap.processing.days.waits import IF_NEEDED, wait
from lawnmap.processing.iron.chain import (
    AUTUMN,
    BLADES,
    IRON,
    SEED,
    SPRING,
    ZoneSteps,
    by_zone,
    chain,
    live,
)
from lawnmap.processing.iron.iron_place import AFTER
from lawnmap.processing.iron.label_card import OPERATION, SPRAYED, iron_card
from lawnmap.processing.iron.postponed import ALL, IRON_NOW, SEED_NOW, SPRING_IRON, left
from lawnmap.processing.iron.postponed import IRON as IRON_LATER

RULES = {
    SPRING_IRON: "programme_spring_iron",
    SEED_NOW: "programme_seed_now",
    IRON_NOW: "programme_iron_now",
}
# In spring the same ways begin or wait otherwise.
RULES_SPRING = {
    SPRING_IRON: "programme_spring_iron_begins",
    SEED_NOW: "programme_seed_now_autumn",
    IRON_NOW: "programme_iron_now_spring",
}
# What is suggested is the first that is possible: grass that closes before winter keeps moss out,
# and in spring iron and light blades lose no season.
SUGGESTED = (SEED_NOW, IRON_NOW, SPRING_IRON)
SUGGESTED_SPRING = (SPRING_IRON, SEED_NOW, IRON_NOW)
COLUMNS = {column.name: column.dtype for column in schema.columns("programmes")}
LIMIT_NOT_SET = (
    "The label sets no limit for new grass. Not set: no iron until it does, or its maker says."
)
LIMIT_LATE = "By the label iron may go on new grass from {day}, when spring is over."
GONE = "Its days for this season are over."
BLADES_FIRST = (
    "Where a machine goes before the iron ({zones}): blades from {blades.first} to {blades.last}, "
    "and iron {gap} days after them, from {iron.first} to {iron.last}."
)
BLADES_GONE = "Where a machine goes before the iron ({zones}), its days for this season are over."
LIGHT_SOONER = "Where only light work is due ({zones}), seed from {first} to {last} would do too."


class Days(NamedTuple):
    """First and last day of a kind of work; both None where there is none."""

    first: dt.date | None = None
    last: dt.date | None = None

    @property
    def open(self) -> bool:
        """Whether the last day is not before the first; work that is left out stands in no way."""
        return self.first is None or self.last is None or self.first <= self.last


class Way(NamedTuple):
    """Days of iron, blades and seed in one programme, and what stands in its way."""

    iron: Days
    blades: Days
    seed: Days = Days()
    remark: str = ""


def programmes(
    steps: pd.DataFrame,
    zones: gpd.GeoDataFrame,
    specification: Specification,
    *,
    followed: pd.DataFrame | None = None,
) -> pd.DataFrame:
    """Return the table ``programmes`` of the schema; without a row when all fits.

    Parameters
    ----------
    steps : DataFrame
        The table ``steps`` as it would be if no programme were chosen.
    zones : GeoDataFrame
        With the columns of the step ``choose``.
    specification : Specification
    followed : DataFrame or None
        The table ``steps`` as the programme chosen leaves it, whose own days it then has.
    """
    found, chosen = chain(steps, zones, specification), specification.choice("programme")
    if found is None or not (found.short or chosen):
        return pd.DataFrame(columns=list(COLUMNS)).astype(COLUMNS)
    ground = _Ground(steps, zones, specification, season_year(zones, specification))
    own = ground if followed is None else ground._replace(timed=followed)
    rows = [
        _row(name, way(own if name == chosen else ground), ground) for name, way in WAYS.items()
    ]
    possible = {row["programme"] for row in rows if row["possible"]}
    order = SUGGESTED_SPRING if ground.year.in_spring() else SUGGESTED
    suggested = next((each for each in order if each in possible), "")
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


class _Ground(NamedTuple):
    """What every way is worked out from."""

    steps: pd.DataFrame
    zones: gpd.GeoDataFrame
    specification: Specification
    year: SeasonYear
    timed: pd.DataFrame | None = None  # steps that the waits are taken from, if not these

    @property
    def role(self) -> str:
        """What the iron counts as in the table of seasons."""
        card = iron_card(self.specification)
        return iron_role(card.product, sprayed=not card.form or card.form in SPRAYED)

    def wait(self, before: str, after: str) -> dt.timedelta:
        """Return the wait between two operations: the label's, else the published."""
        product = iron_card(self.specification).product
        first = {"operation": before, "product": product.name if product else ""}
        second = {"operation": after, "product": ""}
        return dt.timedelta(days=wait(first, second, self.specification))

    def rows(self, *, blades_first: bool) -> Iterator[ZoneSteps]:
        """Yield the zones with iron whose blades go before it, or after it, with their steps."""
        later = (self.zones["iron_order"] == AFTER).to_dict()
        for rows in by_zone(self.steps if self.timed is None else self.timed):
            if later[rows.zone_id] == blades_first and rows.has(IRON):
                yield rows

    def soonest(self, operations: tuple[str, ...], *, blades_first: bool) -> dt.date:
        """Return the day on which some operations come first, where they come soonest."""
        rows = self.rows(blades_first=blades_first)
        found = [day for each in rows for day in each.days_of(operations)]
        return self.year.day + dt.timedelta(days=min(found, default=0))

    def iron_and_blades(self, year: SeasonYear, season: str, blades: str) -> Way:
        """Return the days of iron and blades in a season, and what differs where blades go first.

        Where iron goes first the blades wait until the moss is black; where a petrol or tractor
        machine goes first the iron waits until the grass grows again. A site may have both.
        """
        opens, closes = (end(blades, season, seed="no" if season == AUTUMN else "any")
                         for end in (year.first, year.last))  # fmt: skip
        iron_opens, iron_closes = year.first(self.role, season), year.last(self.role, season)
        name = OPERATION.get(iron_card(self.specification).form, "iron_soluble")
        to_blades, to_iron = self.wait(name, BLADES[0]), self.wait(BLADES[0], name)
        first = [rows.zone_id for rows in self.rows(blades_first=True)]
        begin = max(iron_opens, self.soonest(IRON, blades_first=False))
        cut = max(begin + to_blades, opens, self.soonest(BLADES, blades_first=False))
        way = Way(
            Days(begin, min(iron_closes, closes - to_blades)),
            Days(cut, min(closes, iron_closes + to_blades)),
        )
        if not first:
            return way
        cut = max(opens, self.soonest(BLADES, blades_first=True))
        cuts = Days(cut, min(closes, iron_closes - to_iron))
        irons = Days(max(cut + to_iron, iron_opens), iron_closes)
        if not any(self.rows(blades_first=False)):
            return Way(irons, cuts)
        says = BLADES_FIRST if cuts.open and irons.open else BLADES_GONE
        return way._replace(
            remark=says.format(zones=", ".join(first), blades=cuts, iron=irons, gap=to_iron.days)
        )


def _spring_iron(ground: _Ground) -> Way:
    spring = ground.year if ground.year.in_spring() else ground.year.next()
    way = ground.iron_and_blades(spring, SPRING, "blades light")
    return way._replace(seed=_seed_after(way, ground, spring, AUTUMN))


def _iron_now(ground: _Ground) -> Way:
    if ground.year.in_spring():
        return _spring_iron(ground)
    way = ground.iron_and_blades(ground.year, AUTUMN, "blades heavy")
    return way._replace(seed=_seed_after(way, ground, ground.year.next(), SPRING))


def _seed_after(way: Way, ground: _Ground, year: SeasonYear, season: str) -> Days:
    """Return the days for seed in a later season, its wait after iron kept."""
    name = OPERATION.get(iron_card(ground.specification).form, "iron_soluble")
    waited = (way.iron.first or ground.year.day) + ground.wait(name, SEED)
    return Days(max(year.first("seed", season), waited), year.last("seed", season))


def _seed_now(ground: _Ground) -> Way:
    year, season, remark = ground.year, AUTUMN, ""
    chosen = ground.specification.choice("season") or ""
    if year.day <= year.last("seed", SPRING) and chosen != AUTUMN:
        rows, verdict = live(ground.steps), ground.zones["verdict"]
        sown = list(dict.fromkeys(rows.loc[rows["operation"] == SEED, "zone_id"]))
        light = [each for each in sown if chosen == SPRING or verdict.loc[each] not in HEAVY]
        season = SPRING if light == sown else AUTUMN
        if light and light != sown:
            days = _in_season(year, SPRING)._asdict()
            remark = LIGHT_SOONER.format(zones=", ".join(light), **days)
    work, role, spring = _in_season(year, season), ground.role, year.next()
    product = iron_card(ground.specification).product
    limit = product.seed_to_iron_days if product is not None else None
    if limit is None:
        return Way(Days(), work, work, f"{remark} {LIMIT_NOT_SET}".strip())
    old = (work.first or year.day) + dt.timedelta(days=limit)
    if old > spring.last(role, SPRING):
        return Way(Days(), work, work, f"{remark} {LIMIT_LATE.format(day=old)}".strip())
    iron = Days(max(spring.first(role, SPRING), old), spring.last(role, SPRING))
    return Way(iron, work, work, remark)


WAYS = {SPRING_IRON: _spring_iron, SEED_NOW: _seed_now, IRON_NOW: _iron_now}


def _in_season(year: SeasonYear, season: str) -> Days:
    return Days(max(year.day, year.first("seed", season)), year.last("seed", season))


def _rule(programme: str, way: Way, ground: _Ground) -> str:
    """Return the rule that says what a programme is, by the season it is chosen in."""
    year = ground.year
    sown_now = way.seed.last is not None and way.seed.last <= year.last("seed", SPRING)
    if not year.in_spring() or (programme == SEED_NOW and sown_now):
        return RULES[programme]
    return RULES_SPRING[programme]


def _row(programme: str, way: Way, ground: _Ground) -> dict[str, Any]:
    kinds = {"iron": way.iron, "blades": way.blades, "seed": way.seed}
    possible = all(each.open for each in kinds.values())
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
        "iron_kg": _iron_kg(ground.steps) if way.iron.first and possible else 0.0,
        "possible": possible,
        "rule": _rule(programme, way, ground),
        "remark": way.remark if possible else GONE,
    }


def _iron_kg(steps: pd.DataFrame) -> float:
    """Return the elemental iron of one application everywhere [kg]."""
    sure = live(steps)
    once = sure[sure["operation"].isin(IRON) & (sure["rule"] != IF_NEEDED)]
    return float((once["iron_g_m2"] * once["area_m2"]).sum() / 1000)


def _cost(steps: pd.DataFrame, later: str, specification: Specification) -> float:
    """Return the price of the materials for what is done this season; NaN when none has one."""
    if later == ALL:
        return 0.0
    waiting = IRON if later == IRON_LATER else (SEED,)
    bought = totals(steps[~steps["operation"].isin(waiting)], specification)["cost"]
    return float(bought.sum()) if bought.notna().any() else float("nan")
