"""Which of the blades that may go there do: what costs least, or takes least time, on the site."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import NamedTuple

import geopandas as gpd
import numpy as np
import numpy.typing as npt

from lawnmap.model import Machine, Specification
from lawnmap.processing.buying.hiring import days_of_all, hire_cost, hire_days, hours_a_day
from lawnmap.processing.days.sittings import hours as planned
from lawnmap.processing.judgement.bands import Floats
from lawnmap.processing.judgement.cases import Mask, Texts
from lawnmap.processing.machines import of_no_make
from lawnmap.reference import tables

Places = npt.NDArray[np.intp]
# From zones, machine, passes of each and choices: fewest and most hours of one person with the
# machine, and of clearing, which shares its day.
Effort = Callable[
    [gpd.GeoDataFrame, Machine, Floats, Specification], tuple[Floats, Floats, Floats, Floats]
]

MOST_HIRED = 8  # of more on one site, those that cost least a day are weighed
SAME = 1e-6


class Weighed(NamedTuple):
    """Place of the blades of each zone, the rule where they are not the usual, and the figures.

    There are no figures where nothing was weighed or no words are wanted.
    """

    chosen: Places
    rule: str = ""
    told: Texts | None = None


@dataclass(frozen=True)
class _Site:
    """What is weighed.

    Attributes
    ----------
    found : sequence of Machine
        Machines to hand, in columns.
    hours : array, shape (zones, machines)
        Of one person [h]; infinite where a machine may not go.
    clearing : array, shape (zones,)
        Hours of clearing, on the days of the blades [h]: as long a hired machine is there.
    usual : array, shape (zones,)
        Place of the blades that are usual for the size.
    hour_rate : float or None
        Price of an hour. Without it hours are weighed, and hire is not.
    specification : Specification
    """

    found: Sequence[Machine]
    hours: Floats
    clearing: Floats
    usual: Places
    hour_rate: float | None
    specification: Specification

    def total(self, chosen: Places) -> float:
        """Return what a choice costs or takes: hire in whole days, and once for all zones."""
        own = self.hours[np.arange(len(chosen)), chosen]
        if self.hour_rate is None:
            return math.fsum(own)
        return math.fsum(own) * self.hour_rate + math.fsum(self.hire(chosen).values())

    def hire(self, chosen: Places) -> dict[int, float]:
        """Return the hire of each hired machine that a choice takes, by its place."""
        own = self.hours[np.arange(len(chosen)), chosen]
        found = {}
        for place in np.unique(chosen).tolist():
            here = chosen == place
            hours = math.fsum(own[here])
            both = hours + math.fsum(self.clearing[here])
            price = hire_cost(
                self.found[place],
                max(
                    hire_days(self.found[place], hours, self.specification),
                    days_of_all(both, self.specification),
                ),
            )
            if price:
                found[place] = price
        return found

    def best(self) -> Places:
        """Return the choice with the least total over every set of hired machines.

        Of like choices the one nearest the usual is taken, then the one with fewer machines hired.
        """
        hired = [place for place, each in enumerate(self.found) if each.hire_a_day]
        choices = [self.usual]
        for number in range(min(len(hired), MOST_HIRED) + 1):
            for taken in combinations(hired[:MOST_HIRED], number):
                choices += self._picks([each for each in hired if each not in taken])
        totals = [self.total(each) for each in choices]
        least = min(totals)
        return next(
            each for each, total in zip(choices, totals, strict=True) if total <= least + SAME
        )

    def _picks(self, out: Sequence[int]) -> Iterator[Places]:
        """Yield the cheapest blades of each zone without some: a day of hire shared, or paid."""
        for shared in (True, False):
            value = self.hours * self._an_hour(shared=shared)
            value[:, list(out)] = np.inf
            least = value.min(axis=1)
            if np.isfinite(least).all():
                usual = value[np.arange(len(value)), self.usual] <= least + SAME
                yield np.where(usual, self.usual, np.argmin(value, axis=1))

    def _an_hour(self, *, shared: bool) -> Floats:
        """Return what an hour with each machine costs, with its share of a day of hire or not."""
        if self.hour_rate is None:
            return np.ones(len(self.found))
        share = [
            (each.hire_a_day or 0.0) / hours_a_day(each, self.specification) if shared else 0.0
            for each in self.found
        ]
        return np.asarray(np.array(share) + self.hour_rate, dtype=np.float64)

    def told(self, row: int, best: Places) -> str:
        """Return the figures of one zone, and those of the site."""
        parts = [
            self._one(place, float(self.hours[row, place]))
            for place in np.argsort(self.hours[row], kind="stable").tolist()
            if np.isfinite(self.hours[row, place])
        ]
        unit = " h" if self.hour_rate is None else " with hire"
        sums = [f"{self.total(each):.2f}{unit}" for each in (self.usual, best)]
        site = "" if sums[0] == sums[1] else f", {sums[1]} at the least"
        return f"{'; '.join(parts)}. Whole site with the usual blades {sums[0]}{site}"

    def _one(self, place: int, hours_h: float) -> str:
        machine = self.found[place]
        cost = "" if self.hour_rate is None else f", {hours_h * self.hour_rate:.2f}"
        return f"{machine.name} {hours_h:.1f} h{cost}{' and hire' if machine.hire_a_day else ''}"


def weighed(
    zones: gpd.GeoDataFrame,
    found: Sequence[Machine],
    specification: Specification,
    *,
    usual: Places,
    may: Mask,
    passes: Floats,
    effort: Effort,
) -> Weighed:
    """Weigh the blades of all zones together, since a day of hire serves them all.

    The usual blades for the size stay, unless others save the site hours that are worth a change:
    common practice, no source.

    Parameters
    ----------
    zones : GeoDataFrame
        With what comes off each.
    found : sequence of Machine
        Blades to hand; machines of no make are not weighed, as nobody knows who has them.
    specification : Specification
    usual : array of int
        Place in `found` of the usual blades; below zero where there are none.
    may : array of bool, shape (zones, machines)
        Where each may work.
    passes : array
        Most passes with a full yield; 0 where no blades are needed.
    effort : callable
        Hours of passes, box and getting ready.

    Returns
    -------
    Weighed
    """
    here = np.flatnonzero((passes > 0) & (usual >= 0))
    if not len(here) or all(map(of_no_make, found)) or may[here].sum(axis=1).max() < 2:  # noqa: PLR2004 - two to weigh
        return Weighed(usual)
    rate = (specification.choice("money") or {}).get("hour_rate")
    each, clearing = _hours(zones.iloc[here], found, passes[here], specification, effort)
    hours = np.where(may[here], each, np.inf)
    site = _Site(found, hours, clearing, usual[here], rate, specification)
    best = site.best()
    worth = tables.value("blades_worth_h").number * (1.0 if rate is None else rate)
    kept = site.total(site.usual) - site.total(best) <= worth + SAME
    told = None
    if specification.words:
        told = np.full(len(zones), "", dtype=object)
        told[here] = [site.told(row, best) for row in range(len(here))]
    if kept:
        return Weighed(usual, told=told)
    chosen = usual.copy()
    chosen[here] = best
    return Weighed(chosen, "blades_by_time" if rate is None else "blades_by_cost", told)


def _hours(
    zones: gpd.GeoDataFrame,
    found: Sequence[Machine],
    passes: Floats,
    specification: Specification,
    effort: Effort,
) -> tuple[Floats, Floats]:
    """Return the hours planned with each machine, infinite where unknown, and those of clearing."""
    how = (specification.choice("crew") or {}).get("hours_planned") or "middle"
    columns, clearing = [], np.zeros(len(zones))
    for machine in found:
        share = machine.yield_share or 1.0
        times = np.rint(passes / share) if share < 1 else passes
        low, high, few, many = effort(zones, machine, times, specification)
        columns.append(np.where(high > 0, _planned(low, high, how), np.inf))
        clearing = _planned(few, many, how)
    return np.array(columns, dtype=np.float64).T, clearing


def _planned(low: Floats, high: Floats, how: str) -> Floats:
    pairs = zip(low, high, strict=True)
    return np.array([planned({"hours_low": a, "hours": b}, how) for a, b in pairs])
