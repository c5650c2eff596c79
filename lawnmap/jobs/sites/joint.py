"""Days for all sites of each depot together: one crew and one set of machines go round them all."""

from __future__ import annotations

import logging
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any, NamedTuple

import pandas as pd

from lawnmap.processing.days.across import KEY, ROAD, Across, across
from lawnmap.processing.days.prepared import Prepared

LOG = logging.getLogger(__name__)
MOST = 20_000  # steps of a depot that days are looked for together: minutes, and not hours


class Joint(NamedTuple):
    """The days of sites that were found together.

    Attributes
    ----------
    days : Series
        Day of each step by site_id, zone_id, operation and its number among such steps there.
    sites : dict of str to dict
        visits, day_first and day_last of each site.
    out : list of (str, str, str)
        Depot, machine and day on which one is out.
    told : list of str
    of_depot : dict of str to Across
        All of it, by what the depot is called.
    """

    days: pd.Series
    sites: dict[str, dict[str, Any]]
    out: list[tuple[str, str, str]]
    told: list[str]
    of_depot: dict[str, Across]


def joint(
    works: Iterable[tuple[str, dict[str, Any]]],
    sharing: Callable[[str, int], None] = lambda *_: None,
) -> Joint:
    """Return the days of sites by depot.

    Parameters
    ----------
    works : iterable of (str, dict)
        What a site's depot is called, and its work as
        :meth:`lawnmap.processing.days.prepared.Prepared.json` gives it.
    sharing : callable
        Told the depot and the number of its sites before their days are looked for.
    """
    of_depot: dict[str, list[Prepared]] = defaultdict(list)
    for depot, work in works:
        if work["steps"]:
            of_depot[depot].append(Prepared.of(work))
    found: dict[str, Across] = {}
    told: list[str] = []
    for depot, prepared in sorted(of_depot.items()):
        if len(prepared) == 1:
            continue  # its own plan has its days already
        sharing(depot, len(prepared))
        days, problem = _together(prepared)
        if days is not None:
            found[depot] = days
            told += [f"{_named(depot)}: {each}" for each in days.told if each != ROAD]
        if problem:
            told.append(f"{_named(depot)}: {problem}: each site has days as if it were alone.")
    told += [ROAD] if found else []
    return Joint(
        _days(list(found.values())), dict(_sites(found.values())), _out(found), told, found
    )


def _together(prepared: Sequence[Prepared]) -> tuple[Across | None, str]:
    """Return the days of the sites of a depot; or none, and why."""
    many = sum(len(each.work.steps) for each in prepared)
    if many > MOST:
        return None, f"{many:,} steps are too many to find days for together"
    try:
        return across(prepared), ""
    except Exception:  # one depot never stops the rest
        LOG.exception("days of the sites of a depot")
        return None, "a fault in lawnmap, noted in its log"


def _named(depot: str) -> str:
    return f"Depot {depot}" if depot else "Sites without a depot"


def _days(found: Sequence[Across]) -> pd.Series:
    keys = ["site_id", *KEY]
    if not found:
        return pd.Series([], index=pd.MultiIndex.from_arrays([[]] * len(keys)), dtype="object")
    steps = pd.concat([each.steps for each in found], ignore_index=True)
    return steps.set_index(keys)["day"]


def _sites(found: Iterable[Across]) -> Iterator[tuple[str, dict[str, Any]]]:
    for each in found:
        for row in each.sites.to_dict("records"):
            visits = int(row["visits"]) or None
            days = {name: row[name] for name in ("day_first", "day_last")}
            yield str(row["site_id"]), {"visits": visits, **days}


def _out(found: dict[str, Across]) -> list[tuple[str, str, str]]:
    return [
        (depot, str(row["machine"]), str(row["day"]))
        for depot, each in found.items()
        for row in each.machines.to_dict("records")
    ]
