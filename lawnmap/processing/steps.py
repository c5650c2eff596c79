"""The step ``steps``: every chosen operation on every zone, in the order of the work."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import pandas as pd

from lawnmap import schema
from lawnmap.model import Specification
from lawnmap.plugins import Treatment
from lawnmap.processing import machines
from lawnmap.processing.days.waits import ROLE, waits
from lawnmap.processing.iron.iron_place import AFTER
from lawnmap.processing.judgement.verdicts import WORK
from lawnmap.reference import tables
from lawnmap.schema import DO, LEAVE, PRICING, RATE_IT, UNRATED

ORDER = (
    "mowing",
    "iron",
    "blades",
    "clearing",
    AFTER,
    "aerating",
    "seed",
    "dressing",
    "feed",
    "watering",
    "first cut",
)
NAMES = [column.name for column in schema.columns("steps")]


def steps(
    zones: gpd.GeoDataFrame, specification: Specification, treatments: Mapping[str, Treatment]
) -> pd.DataFrame:
    """Return the steps of work of every zone.

    Parameters
    ----------
    zones : GeoDataFrame
        With the columns of the step ``choose``.
    specification : Specification
    treatments : mapping of str to Treatment
        The treatments to ask, by the name of their operation.

    Returns
    -------
    DataFrame
        The table ``steps`` of the schema, zone by zone in the order of work. A zone that is to be
        left alone has one row, which says so, and one that nobody has rated another.
    """
    worked = zones[zones["verdict"].isin(WORK)]
    asked = [
        _complete(_asked(name, each, worked, specification).assign(operation=name, kind=each.KIND))
        for name, each in treatments.items()
    ]
    table = pd.concat([_left_alone(zones), *asked], ignore_index=True)
    return _in_order(table, zones, specification)


def figures(
    zones: pd.DataFrame, specification: Specification, treatments: Mapping[str, Treatment]
) -> dict[str, pd.DataFrame]:
    """Return the rows of each treatment for very many zones: figures and rules, and no sentences.

    Parameters
    ----------
    zones : DataFrame
        With the columns of the step ``choose``; outlines are not looked at.
    specification : Specification
    treatments : mapping of str to Treatment
        The treatments to ask, by the name of their operation.

    Returns
    -------
    dict of str to DataFrame
        By operation, as the treatment gave them: not put in order, without waits, and without rows
        of zones where nothing is done.
    """
    lean = replace(specification, words=False)
    worked = _where(zones, zones["verdict"].isin(WORK).to_numpy(dtype=bool))
    return {name: _asked(name, each, worked, lean) for name, each in treatments.items()}


def _asked(
    name: str, treatment: Treatment, zones: pd.DataFrame, specification: Specification
) -> pd.DataFrame:
    """Return what one treatment says of the zones that chose it."""
    chosen = np.full(len(zones), name in (specification.choice("operations") or ()))
    own = [each for each, choices in specification.by_zone.items() if "operations" in choices]
    if own:
        for place in np.flatnonzero(zones.index.isin(own)).tolist():
            operations = specification.choice("operations", str(zones.index[place]))
            chosen[place] = name in (operations or ())
    return treatment.steps(_where(zones, chosen), specification)


def _where(zones: pd.DataFrame, mask: npt.NDArray[np.bool_]) -> pd.DataFrame:
    """Return zones where a mask holds; no copy is made of all of them."""
    return zones if mask.all() else zones[mask]


def _kind(machine: str, specification: Specification) -> str:
    found = machines.named(machine, specification)
    return found.kind if found is not None else ""


def _left_alone(zones: gpd.GeoDataFrame) -> pd.DataFrame:
    """Return one row for each zone where nothing is to be done, with the reason."""
    here = zones[~zones["verdict"].isin(WORK)]
    rules = list(here["verdict_rule"])
    records = here.drop(columns=here.geometry.name).to_dict("records")
    return _complete(
        pd.DataFrame(
            {
                "zone_id": here.index.astype(str),
                "operation": np.where(here["verdict"] == UNRATED, RATE_IT, LEAVE),
                "kind": "",
                "status": DO,
                "area_m2": here["ground_area_m2"].to_numpy(dtype=float),
                "rule": rules,
                "sources": [
                    " ".join([*tables.rule(each).values, *tables.rule(each).sources])  # noqa: PD011 - no Series
                    for each in rules
                ],
                "standing": [tables.rule(each).standing for each in rules],
                "remark": [
                    tables.sentence(rule, {str(key): value for key, value in record.items()})
                    for rule, record in zip(rules, records, strict=True)
                ],
            }
        )
    )


def _complete(rows: pd.DataFrame) -> pd.DataFrame:
    """Return rows with every column of the schema, in its order and type."""
    columns: dict[str, Any] = {}
    for column in schema.columns("steps"):
        if column.dtype == "object":
            words = pd.Series(rows.get(column.name, ""), index=rows.index, dtype=object)
            columns[column.name] = words.fillna("")
        else:
            columns[column.name] = pd.Series(
                rows.get(column.name, np.nan), index=rows.index, dtype=float
            )
    return pd.DataFrame(columns, columns=NAMES)


def _rank(role: str) -> float:
    """Return the place of a role in the order of work.

    Work of an outside treatment stands where the waits that it brings put it: just before what it
    is before, else just behind what it is behind, and last where they say nothing.
    """
    if role in ORDER:
        return ORDER.index(role)
    waiting = [(before, after) for before, after in tables.intervals() if role in (before, after)]
    later = [ORDER.index(after) for before, after in waiting if before == role and after in ORDER]
    sooner = [ORDER.index(before) for before, after in waiting if after == role and before in ORDER]
    if later:
        return min(later) - 0.5
    return max(sooner) + 0.5 if sooner else len(ORDER)


def _in_order(
    table: pd.DataFrame, zones: gpd.GeoDataFrame, specification: Specification
) -> pd.DataFrame:
    place = {str(zone_id): number for number, zone_id in enumerate(zones.index)}
    later = {str(each) for each in zones.index[zones["iron_order"] == AFTER]}
    roles = [
        AFTER if role == "iron" and zone_id in later else role
        for role, zone_id in zip(
            (ROLE.get(each, each) for each in table["operation"]), table["zone_id"], strict=True
        )
    ]
    ranks = {role: _rank(role) for role in set(roles)}
    table = table.assign(
        zone=table["zone_id"].map(place),
        rank=[ranks[each] for each in roles],
    )
    # Stable, so that what a treatment returned in order stays in it.
    table = table.sort_values(["zone", "rank"], kind="stable", ignore_index=True)
    table["machine_kind"] = [_kind(each, specification) for each in table["machine"]]
    table["sequence"] = table.groupby("zone").cumcount() + 1
    table = waits(table[NAMES], specification, live=(DO, PRICING))
    return table.astype({"sequence": "int64"})
