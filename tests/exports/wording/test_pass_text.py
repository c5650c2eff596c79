"""Pass lines in words."""

import numpy as np
import pandas as pd

from lawnmap.exports.wording.amounts import SPACE
from lawnmap.exports.wording.pass_text import line, pass_lines

ROW = {
    "zone_id": "a", "operation": "scarifying", "pass": 1, "times": 1, "bouts": 57,
    "headland_bouts": 1, "direction": "along the long side; start at the east edge",
    "length_m": 2966.7, "turns": 57, "hours": 1.08, "hours_planned": 1.6, "lifts": 0,
    "left_m2": 0.01, "cable_m": np.nan,
}  # fmt: skip


def said(**changes):
    return line(ROW | changes, "metric").replace(SPACE, " ")


def test_a_pass():
    assert said() == (
        "Pass 1: 1 along edges and obstacles, then 57 bouts along the long side; start at the east "
        "edge; 2967 m, 57 turns; 1.08 h by the lines, the plan has 1.6 h at most."
    )


def test_what_is_said_only_where_there_is_something():
    more = said(**{"pass": 2, "times": 2, "lifts": 3, "left_m2": 12.0, "cable_m": 53.6})
    assert more.startswith("Pass 2, 2 times over: ")
    assert more.endswith(
        "blades up 3 times over what lies hidden; 12 m² more for the rake, before and behind what "
        "lies hidden; the cable has to reach 54 m at least."
    )
    assert said(left_m2=12.0).endswith("; 12 m² left for the rake.")
    assert "left" not in said(left_m2=0.4)  # nobody fetches a rake for it
    assert "left to do by hand" in said(operation="feeding", left_m2=12.0)


def test_rounds_only_and_nothing_at_all():
    assert "Pass 1: 1 along edges and obstacles cover it;" in said(bouts=0, length_m=60.0)
    none = {"bouts": 0, "headland_bouts": 0, "hours": np.nan, "length_m": 0.0}
    why = "it is narrower than the machine everywhere"
    assert said(direction=why, **none) == f"Pass 1: no bouts: {why}."


def test_columns_a_reader_may_not_see_are_not_missed():
    hidden = {"length_m", "turns", "hours", "hours_planned", "lifts"}
    shown = line({key: cell for key, cell in ROW.items() if key not in hidden}, "metric")
    assert shown.endswith("start at the east edge.")


def test_lines_by_zone_and_operation():
    table = pd.DataFrame([ROW, ROW | {"pass": 2}, ROW | {"zone_id": "b"}])
    found = pass_lines(table, "metric")
    assert [len(each) for each in found.values()] == [2, 1]
    assert list(found) == [("a", "scarifying"), ("b", "scarifying")]
    assert pass_lines(None, "metric") == {}
