import csv
import io
import re
from dataclasses import replace

import pandas as pd
import pytest

from lawnmap.exports.gis import csv_table
from lawnmap.files import csv_text
from lawnmap.processing.disclose import disclose
from lawnmap.readers import cells
from tests.exports.names import FORMULAS
from tests.exports.papers import of_formulas, paper


def lines(data):
    text = data.decode("utf-8-sig")
    return list(csv.DictReader(io.StringIO(text, newline=""), strict=True))


def read_back(data, column):
    table = csv_text.parse(data.decode("utf-8-sig"), ",", most_cells=100_000)
    index = table.header.index(column)
    return cells.column(column, [row[index] for row in table.rows], table.lines)


def test_one_row_a_zone_and_step_with_the_name_and_areas_of_the_zone():
    made = paper()
    found = lines(csv_table.render(made))
    steps, zones = made.plan.steps, made.plan.zones
    assert [row["operation"] for row in found] == list(steps["operation"])
    assert [row["name"] for row in found] == list(zones.loc[steps["zone_id"], "name"])
    areas = [float(row["ground_area_m2"]) for row in found]
    expected = zones.loc[steps["zone_id"], "ground_area_m2"]
    assert areas == pytest.approx(list(expected), abs=1e-6)


def test_the_form_is_rfc_4180_with_a_byte_order_mark():
    data = csv_table.render(paper())
    assert data.startswith(b"\xef\xbb\xbf")
    assert data.endswith(b"\r\n")
    assert data.count(b"\n") == data.count(b"\r\n") == len(paper().plan.steps) + 1


def test_numbers_stay_numbers():
    made = paper()
    table = pd.read_csv(io.BytesIO(csv_table.render(made)))
    for name in ("area_m2", "dose", "amount", "water_l", "wait_days", "sequence"):
        assert table[name].dtype.kind in "if"
        assert table[name].tolist() == pytest.approx(
            made.plan.steps[name].tolist(), abs=1e-6, nan_ok=True
        )


@pytest.mark.parametrize("column", ["name", "product", "remark", "flag", "client_number"])
def test_no_text_is_a_formula_and_all_of_it_comes_back(column, figure):
    data = csv_table.render(of_formulas())
    for row in lines(data):
        assert not re.match(r"\s*[=+\-@\t\r\n]", row[column])
    came = set(read_back(data, column))
    assert came == set(FORMULAS)
    figure(21, f"CSV: 0 formula cells, {len(came)} of {len(FORMULAS)} come back")


def test_a_negative_number_is_no_formula():
    made = paper()
    steps = made.plan.steps.assign(amount=-1.5)
    data = csv_table.render(made.of(plan=replace(made.plan, steps=steps)))
    assert {row["amount"] for row in lines(data)} == {"-1.5"}


def test_a_client_gets_no_private_note_and_no_hours():
    plan = paper().plan
    plan = replace(
        plan,
        zones=plan.zones.assign(private_note="PRIV-1", fertiliser="PRIV-2"),
        steps=plan.steps.assign(own="PRIV-3"),
    )
    data = csv_table.render(disclose(plan, "client"))
    assert b"PRIV-" not in data
    assert "hours" not in lines(data)[0]
    assert "hours" in lines(csv_table.render(disclose(plan, "owner")))[0]


def test_columns_and_rows_may_be_missing():
    plan = paper().plan
    bare = replace(plan, zones=plan.zones[["geometry"]], steps=plan.steps[["zone_id", "status"]])
    assert csv_table.render(paper().of(plan=bare)).startswith(
        b'\xef\xbb\xbf"zone_id","status"\r\n"z0","do"\r\n'
    )
    empty = csv_table.render(paper().of(plan=replace(plan, steps=pd.DataFrame())))
    assert empty.startswith(b'\xef\xbb\xbf"zone_id","name",')
    assert empty.count(b"\r\n") == 1


def test_a_site_without_a_place_still_has_a_table():
    expected = csv_table.render(paper())
    assert csv_table.render(paper(header={"placed": False})) == expected
    assert csv_table.render(paper(schematic=True)) == expected
