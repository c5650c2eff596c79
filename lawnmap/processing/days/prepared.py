"""The work of one site, kept by itself until the days of all sites of a depot are looked for."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import geopandas as gpd
import pandas as pd

from lawnmap.days import Calendar
from lawnmap.logistics.work import Closed, Crew, Machine, Step, Wait, Window, Work
from lawnmap.model import Specification
from lawnmap.processing.days import joblist
from lawnmap.processing.days.seasons import seasons

Json = dict[str, Any]


@dataclass(frozen=True)
class Prepared:
    """The steps of one site that are to have a day, with all that holds for them there.

    Attributes
    ----------
    site : str
        Its id among the sites of the depot.
    work : Work
        Ids and zones as in its own plan. People and machines are those it was cut into days for.
    """

    site: str
    work: Work

    def json(self) -> Json:
        """Return it as plain JSON: what :meth:`of` makes the same of again."""
        work = self.work
        return {
            "site": self.site,
            "span": [str(work.first), str(work.last)],
            "weekdays": sorted(work.weekdays),
            "crew": [work.crew.people, work.crew.hours],
            "machines": {
                name: [each.count, each.hours, each.hired, _spans(each.windows)]
                for name, each in work.machines.items()
            },
            "closed": [
                [str(each.first), str(each.last), each.reason, sorted(each.zones)]
                for each in work.closed
            ],
            "steps": [_step(each) for each in work.steps],
            "done": {key: str(day) for key, day in work.done.items()},
            "promised": {key: str(day) for key, day in work.promised.items()},
        }

    @classmethod
    def of(cls, kept: Mapping[str, Any]) -> Prepared:
        """Return what :meth:`json` was made of."""
        first, last = _days(kept["span"])
        work = Work(
            tuple(_step_of(each) for each in kept["steps"]),
            first,
            last,
            Crew(*kept["crew"]),
            {
                name: Machine(count, hours, hired, _windows(windows))
                for name, (count, hours, hired, windows) in kept["machines"].items()
            },
            tuple(
                Closed(*_days(days), reason, frozenset(zones))
                for *days, reason, zones in kept["closed"]
            ),
            frozenset(kept["weekdays"]),
            {key: dt.date.fromisoformat(day) for key, day in kept["done"].items()},
            {key: dt.date.fromisoformat(day) for key, day in kept["promised"].items()},
        )
        return cls(kept["site"], work)


def prepared(
    steps: pd.DataFrame,
    zones: gpd.GeoDataFrame,
    specification: Specification,
    calendar: Calendar,
    site: str,
) -> Prepared | None:
    """Return the work of one site; None when its last day lies before its first.

    Parameters
    ----------
    steps : DataFrame
        The table ``steps`` of its plan, with what is done marked. Days it was given by itself do
        not count.
    zones : GeoDataFrame
        With the columns of the step ``choose``.
    specification : Specification
        As the plan followed it: days, people, machines, label cards.
    calendar : Calendar
        Its record without the rows that are marked as done in `steps`.
    site : str
    """
    first, last = joblist.span(specification)
    if last < first:
        return None
    found = seasons(steps, zones, specification, weather=calendar.weather, first=first, last=last)
    return Prepared(site, joblist.work(steps, specification, calendar, found.windows)[0])


def _step(step: Step) -> list[Any]:
    waits = [[each.before, each.least, each.most, each.given_up] for each in step.after]
    return [
        step.id, step.zone, step.operation, step.hours, step.machine, step.crew, waits,
        _spans(step.windows),
    ]  # fmt: skip


def _step_of(kept: Sequence[Any]) -> Step:
    own, zone, operation, hours, machine, crew, waits, windows = kept
    after = tuple(Wait(*each) for each in waits)
    return Step(own, zone, operation, hours, machine, crew, after, _windows(windows))


def _spans(windows: Sequence[Window]) -> list[list[str]]:
    return [[each.first.isoformat(), each.last.isoformat()] for each in windows]


def _windows(spans: Sequence[Sequence[str]]) -> tuple[Window, ...]:
    return tuple(Window(*_days(each)) for each in spans)


def _days(texts: Sequence[str]) -> tuple[dt.date, dt.date]:
    first, last = texts
    return dt.date.fromisoformat(first), dt.date.fromisoformat(last)
