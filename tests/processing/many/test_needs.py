"""Sums of steps by site: against sums taken row by row, with math.fsum."""

from __future__ import annotations

import math
from collections import defaultdict
from typing import Any

import numpy as np
import pandas as pd
from hypothesis import given, settings
from hypothesis import strategies as st

from lawnmap.processing.many.needs import AMOUNTS, HOURS, sums
from lawnmap.schema import DO, NOT_SET, PRICING

OPERATIONS = ("mowing", "iron_liquid", "feeding")
FIGURE = st.one_of(st.just(math.nan), st.floats(0, 1e6))
ROW = st.fixed_dictionaries(
    {
        "zone": st.integers(0, 7),
        "status": st.sampled_from([DO, PRICING, NOT_SET]),
        "product": st.sampled_from(["", "one", "another"]),
        "unit": st.sampled_from(["g", "ml"]),
        "machine": st.sampled_from(["", "can"]),
        "month": st.sampled_from(["", "2026-09"]),
        "rule": st.sampled_from(["first", "iron_repeat"]),
    }
    | dict.fromkeys({*AMOUNTS, *HOURS}, FIGURE)
)
TABLES = st.dictionaries(st.sampled_from(OPERATIONS), st.lists(ROW, max_size=12))
SITE = np.array([0, 0, 1, 1, 1, 3, 3, 2])


def _expected(
    tables: dict[str, list[dict[str, Any]]], by: tuple[str, ...], figures: tuple[str, ...]
) -> dict[tuple[Any, ...], dict[str, float]]:
    rows = defaultdict(list)
    for operation, table in tables.items():
        for row in table:
            live = row["status"] == DO and row["rule"] != "iron_repeat"
            if operation != "iron_liquid":
                live = row["status"] in (DO, PRICING)
            if "status" in by or live:
                key = (SITE[row["zone"]], operation, *(row[name] for name in by))
                rows[key].append(row)
    return {
        key: {"zones": float(len({each["zone"] for each in own}))}
        | {
            name: math.fsum(each[name] for each in own if not math.isnan(each[name]))
            for name in figures
        }
        for key, own in rows.items()
    }


@settings(max_examples=60, deadline=None)
@given(TABLES, st.booleans())
def test_sums_are_those_of_the_rows(
    tables: dict[str, list[dict[str, Any]]], categorical: bool
) -> None:

    words = ("status", "product", "unit", "machine", "month", "rule")
    figures = {}
    for operation, rows in tables.items():
        table = pd.DataFrame(rows, columns=[*words, "zone", *AMOUNTS, *HOURS[1:]])
        kinds = dict.fromkeys(words, "category" if categorical else object) | {"zone": "int64"}
        figures[operation] = table.astype(kinds)
    found = sums(figures, SITE, 4)
    for table, by, names in (
        (found.needs, ("product", "status", "unit", "month"), AMOUNTS),
        (found.hours, ("machine", "month"), HOURS),
    ):
        expected = _expected(tables, by, names)
        got = {
            tuple(row[name] for name in ("site", "operation", *by)): row
            for row in table.to_dict("records")
        }
        assert set(got) == set(expected)
        for key, own in expected.items():
            for name, value in own.items():
                assert math.isclose(got[key][name], value, rel_tol=1e-12, abs_tol=1e-9)


def test_what_a_treatment_does_not_give_is_nothing() -> None:
    rows = pd.DataFrame({"zone": [0, 2], "status": [DO, DO], "rule": ["", ""], "hours": [1.0, 2.0]})
    found = sums({"mowing": rows}, SITE, 4)
    assert found.needs["amount"].tolist() == [0.0, 0.0]
    assert found.needs["product"].tolist() == ["", ""]
    assert found.hours[["site", "hours"]].to_dict("list") == {"site": [0, 1], "hours": [1.0, 2.0]}


def test_no_step_at_all_is_an_empty_table_with_every_column() -> None:
    found = sums({}, SITE, 4)
    assert list(found.needs.columns) == [
        "site", "operation", "product", "status", "unit", "month", "zones", *AMOUNTS,
    ]  # fmt: skip
    assert len(found.needs) == len(found.hours) == 0
