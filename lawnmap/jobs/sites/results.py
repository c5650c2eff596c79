"""What many sites come to: their parts joined to tables, the same in whatever order they came."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from lawnmap import schema
from lawnmap.jobs.sites.crew import MOST_SITES, stacked, unpacked
from lawnmap.jobs.sites.joint import Joint, joint
from lawnmap.jobs.sites.planned import Trouble, Worked
from lawnmap.jobs.sites.reduced import FIGURES, WORDS, undated
from lawnmap.processing.days.across import placed
from lawnmap.processing.many.needs import sums
from lawnmap.processing.many.site_rows import named

MONTH = len("2026-09")
EMPTY = {each.name: "" if each.dtype == "object" else None for each in schema.columns("sites")}


@dataclass(frozen=True)
class Place:
    """Where a site belongs: its id, its region and what its depot is called."""

    site_id: str
    region: str
    depot: str


@dataclass(frozen=True)
class Results:
    """What many sites come to.

    Attributes
    ----------
    sites, needs, hours : DataFrame
        The tables ``sites``, ``site_needs`` and ``site_hours`` of the schema, by site id.
    out : DataFrame
        depot, machine and day of each day on which a machine is out at a site.
    troubles : tuple of Trouble
        Of the sites that could not be worked out, by site id.
    currency : str
        In which all costs are; empty when there are none, or several.
    crew : dict of str to DataFrame
        What a crew's papers are made from, with ``site_id``; empty for very many sites.
    told : tuple of str
        What is to be said of the days that the sites of a depot share.
    """

    sites: pd.DataFrame
    needs: pd.DataFrame
    hours: pd.DataFrame
    out: pd.DataFrame
    troubles: tuple[Trouble, ...]
    currency: str = ""
    crew: Mapping[str, pd.DataFrame] = field(default_factory=dict)
    told: tuple[str, ...] = ()


def results(
    done: Iterable[tuple[Place, Worked]],
    sharing: Callable[[str, int], None] = lambda *_: None,
    *,
    apart: bool = False,
) -> Results:
    """Join the parts of sites.

    Parameters
    ----------
    done : iterable of (Place, Worked)
        In any order.
    sharing : callable
        See :func:`lawnmap.jobs.sites.joint.joint`.
    apart : bool
        Whether each site keeps the days of its own plan; else the sites of a depot share its days.

    Returns
    -------
    Results
    """
    ordered = sorted(done, key=lambda each: each[0].site_id)
    found = joint(() if apart else _works(ordered), sharing)
    steps = _dated(_steps([worked for _, worked in ordered]), ordered, found)
    zone, of_site = _zones(steps)
    dated = steps.assign(zone=zone, month=steps["day"].str[:MONTH])
    figures = {str(name): rows for name, rows in dated.groupby("operation", sort=True)}
    summed = sums(figures, of_site, len(ordered))
    sites = _sites(ordered, found, steps, summed.hours)
    return Results(
        sites,
        _named(summed.needs, sites, "site_needs"),
        _named(summed.hours, sites, "site_hours"),
        _out(ordered, found),
        tuple(worked.trouble for _, worked in ordered if worked.trouble),
        _currency([worked for _, worked in ordered]),
        _crew(ordered, found),
        tuple(found.told),
    )


def _zones(steps: pd.DataFrame) -> tuple[npt.NDArray[np.intp], npt.NDArray[np.intp]]:
    """Return the code of the zone of each step, and the site of each zone."""
    site = steps["site"].to_numpy(dtype=np.intp)
    names, ids = pd.factorize(steps["zone_id"])
    zone, pairs = pd.factorize(site * max(len(ids), 1) + names)
    return zone.astype(np.intp), np.asarray(pairs // max(len(ids), 1), dtype=np.intp)


def _works(ordered: Sequence[tuple[Place, Worked]]) -> Iterator[tuple[str, dict[str, Any]]]:
    for place, worked in ordered:
        if worked.part and worked.part["work"]:
            yield place.depot, worked.part["work"]


def _steps(done: Sequence[Worked]) -> pd.DataFrame:
    """Return the steps of all sites, each with the code of its site."""
    parts = [each.part["steps"] if each.part else None for each in done]
    data: dict[str, Any] = {
        name: pd.Series(
            [cell for part in parts if part for cell in part[name]],
            dtype="object" if name in WORDS else "float64",
        )
        for name in (*WORDS, *FIGURES)
    }
    counts = [len(part["zone_id"]) if part else 0 for part in parts]
    return pd.DataFrame({**data, "site": np.repeat(np.arange(len(done)), counts)})


def _dated(
    steps: pd.DataFrame, ordered: Sequence[tuple[Place, Worked]], found: Joint
) -> pd.DataFrame:
    """Return the steps with the days that were found for the sites of a depot together."""
    ids = np.array([place.site_id for place, _ in ordered], dtype=object)
    of_zone = ["site", "zone_id", "operation"]
    number = steps.groupby(of_zone, sort=False).cumcount() + 1
    keys: list[Any] = [ids[steps["site"]], steps["zone_id"], steps["operation"], number]
    at = found.days.index.get_indexer(pd.MultiIndex.from_arrays(keys))
    day = steps["day"].to_numpy(dtype=object, copy=True)
    day[at >= 0] = found.days.to_numpy(dtype=object)[at[at >= 0]]
    return steps.assign(day=day)


def _sites(
    ordered: Sequence[tuple[Place, Worked]],
    found: Joint,
    steps: pd.DataFrame,
    hours: pd.DataFrame,
) -> pd.DataFrame:
    """Return the table ``sites``."""
    many = len(ordered)
    late = np.bincount(steps["site"][undated(steps)], minlength=many)
    low, most = (
        np.bincount(hours["site"], hours[name], minlength=many) for name in ("hours_low", "hours")
    )
    rows: list[dict[str, Any]] = []
    for code, (place, worked) in enumerate(ordered):
        row = {**EMPTY, "site_id": place.site_id, "region": place.region, "depot": place.depot}
        if worked.part is None:
            rows.append({**row, "trouble": str(worked.trouble)})
            continue
        row |= {**worked.part["site"], "region": worked.part["region"] or place.region}
        row |= {"undated": late[code], "hours_low": low[code], "hours": most[code]}
        rows.append(row | (found.sites.get(place.site_id) or _own_days(worked.part["visits"])))
    return _table(pd.DataFrame(rows, columns=list(EMPTY)), "sites")


def _own_days(visits: Sequence[str]) -> dict[str, Any]:
    first, last = (visits[0], visits[-1]) if visits else ("", "")
    return {"visits": len(visits) or None, "day_first": first, "day_last": last}


def _named(found: pd.DataFrame, sites: pd.DataFrame, name: str) -> pd.DataFrame:
    """Return sums by site, month by month; what has no month comes last."""
    words = [each.name for each in schema.columns(name) if each.dtype == "object"]
    words = [each for each in words if each in found.columns and each != "month"]
    ordered = found.assign(late=found["month"] == "").sort_values(
        ["site", "late", "month", *words], ignore_index=True
    )
    return _table(named(ordered, sites), name)


def _crew(ordered: Sequence[tuple[Place, Worked]], found: Joint) -> dict[str, pd.DataFrame]:
    """Return what a crew's papers are made from, with the days that sites have together."""
    worked = [(place, done.part["crew"]) for place, done in ordered if done.part]
    shown = [(place, text) for place, text in worked if text]
    if len(shown) > MOST_SITES:
        return {}
    tables = []
    for place, text in shown:
        own = unpacked(text, place.site_id)
        if place.site_id in found.sites:
            own["steps"] = placed(own["steps"], found.of_depot[place.depot], place.site_id)
        tables.append(own)
    return stacked(tables)


def _currency(done: Sequence[Worked]) -> str:
    named = {each.part["currency"] for each in done if each.part} - {""}
    return named.pop() if len(named) == 1 else ""


def _out(ordered: Sequence[tuple[Place, Worked]], found: Joint) -> pd.DataFrame:
    """Return each machine with each day it is out: of depots with days of their own, those."""
    alone = [
        (place.depot, machine, day)
        for place, worked in ordered
        if worked.part and place.site_id not in found.sites
        for machine, day in worked.part["out"]
    ]
    rows = [*found.out, *alone]
    return pd.DataFrame(rows, columns=["depot", "machine", "day"], dtype="object")


def _table(rows: pd.DataFrame, name: str) -> pd.DataFrame:
    dtypes = {column.name: column.dtype for column in schema.columns(name)}
    return rows[list(dtypes)].astype(dtypes)
