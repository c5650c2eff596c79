"""The step ``course``: what every survey of a site saw, in the order of the days."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Any, NamedTuple

import pandas as pd

from lawnmap.model import Site
from lawnmap.processing.surveying.compare import without
from lawnmap.processing.surveying.seen import MEASURES, survey

COLUMNS = {
    "zone_id": "object", "name": "object", "measure": "object", "unit": "object",
    "survey": "object", "day": "object",
    "at": "float64", "low": "float64", "high": "float64", "samples": "float64",
    "rests_on": "object",
}  # fmt: skip


class Dated(NamedTuple):
    """A survey with its name and day."""

    name: str
    day: dt.date
    site: Site


def course(surveys: Sequence[Dated], *, level: float = 0.95) -> pd.DataFrame:
    """Return one row a zone, measure and survey in which that was looked at.

    Parameters
    ----------
    surveys : sequence of Dated
        The first one first. A core that stands in the one before was not taken again.
    level : float
        Confidence of every interval, between 0 and 1.

    Returns
    -------
    DataFrame
        With COLUMNS; zones in the order of the last survey and those that are gone behind them.
    """
    rows: list[tuple[Any, ...]] = []
    before: Site | None = None
    order: dict[str, str] = {}
    for each in surveys:
        site = each.site
        if before is not None:
            site = without(site, before, shapes=site.placed == before.placed)
        before = each.site
        seen = survey(site)
        names = dict(zip(map(str, seen.zones.index), seen.zones["name"], strict=True))
        named = {zone_id: name if isinstance(name, str) else "" for zone_id, name in names.items()}
        order = named | {zone_id: name for zone_id, name in order.items() if zone_id not in named}
        for zone_id in named:
            for measure, (unit, looked) in MEASURES.items():
                found = looked(seen, zone_id, level)
                if found.rests_on:
                    rows.append((zone_id, "", measure, unit, each.name, each.day, *found[:5]))
    table = pd.DataFrame(rows, columns=list(COLUMNS)).astype(COLUMNS)
    table["name"] = table["zone_id"].map(order).astype(object)
    place = {zone_id: number for number, zone_id in enumerate(order)}
    return table.sort_values(
        "zone_id", key=lambda ids: ids.map(place), kind="stable", ignore_index=True
    )
