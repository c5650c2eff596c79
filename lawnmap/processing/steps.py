"""The step ``steps``: every chosen operation on every zone, in the order of the work."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import geopandas as gpd
import numpy as np
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
    asked = [_of_treatment(name, each, worked, specification) for name, each in treatments.items()]
    table = pd.concat([_left_alone(zones), *asked], ignore_index=True)
    return _in_order(table, zones, specification)


def _of_treatment(
    name: str, treatment: Treatment, zones: gpd.GeoDataFrame, specification: Specification
) -> pd.DataFrame:
    """Return the rows of one treatment for the zones that chose it."""
    chosen = [name in (specification.choice("operations", str(each)) or ()) for each in zones.index]
    rows = treatment.steps(zones[np.array(chosen, dtype=bool)], specification)
    return _complete(rows.assign(operation=name, kind=treatment.KIND))


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
    table = table.assign(
        zone=table["zone_id"].map(place),
        rank=[ORDER.index(each) if each in ORDER else len(ORDER) for each in roles],
    )
    # Stable, so that what a treatment returned in order stays in it.
    table = table.sort_values(["zone", "rank"], kind="stable", ignore_index=True)
    table["machine_kind"] = [_kind(each, specification) for each in table["machine"]]
    table["sequence"] = table.groupby("zone").cumcount() + 1
    table = waits(table[NAMES], specification, live=(DO, PRICING))
    return table.astype({"sequence": "int64"})
