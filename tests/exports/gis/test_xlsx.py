"""The workbook, read back by openpyxl, which is not what it was written with."""

import datetime as dt
import io
import sys
import zipfile
from dataclasses import replace

import openpyxl
import pandas as pd
import pytest

from lawnmap.errors import ExtraNeeded
from lawnmap.exports.gis import xlsx
from lawnmap.files.spreadsheet import unguarded
from tests.exports.names import FORMULAS
from tests.exports.papers import dated, of_formulas, paper


def midnight(*day):
    """Return a day as workbooks have it: without a time zone."""
    return dt.datetime.combine(dt.date(*day), dt.time())


def book(data):
    return openpyxl.load_workbook(io.BytesIO(data))


def column(sheet, header):
    (at,) = (cell.column for cell in sheet[1] if cell.value == header)
    return [sheet.cell(row, at).value for row in range(2, sheet.max_row + 1)]


def test_the_sheets_hold_the_tables():
    made = dated(paper(audience="owner"))
    found = book(xlsx.render(made))
    assert found.sheetnames == ["Zones", "Steps", "Totals", "Loads", "Days", "Columns"]
    plan = made.plan
    for name, table in (
        ("Zones", plan.zones),
        ("Steps", plan.steps),
        ("Totals", plan.totals),
        ("Loads", plan.loads),
    ):
        assert found[name].max_row == len(table) + 1
    assert column(found["Zones"], "name") == list(plan.zones["name"])
    areas = column(found["Zones"], "ground area [m²]")
    assert areas == pytest.approx(list(plan.zones["ground_area_m2"]), abs=1e-6)
    assert column(found["Totals"], "cost [EUR]")[:2] == [52.0, 410.0]


def test_numbers_are_numbers_and_days_are_days():
    found = book(xlsx.render(dated(paper())))["Steps"]
    days = {each for each in column(found, "day") if each is not None}
    assert days == {midnight(2027, 8, 23), midnight(2027, 8, 30)}
    amounts = [each for each in column(found, "amount") if each is not None]
    assert amounts
    assert {type(each) for each in amounts} <= {int, float}


def test_a_day_that_is_none_stays_text():
    made = paper()
    zones = made.plan.zones.assign(fed_last=["last spring", "1850-03-01", "2027-03-01"] * 4)
    found = book(xlsx.render(made.of(plan=replace(made.plan, zones=zones))))["Zones"]
    assert column(found, "fed last")[:3] == ["last spring", "1850-03-01", midnight(2027, 3, 1)]


def test_the_head_stays_in_sight_and_columns_have_their_width():
    for sheet in book(xlsx.render(paper())):
        assert sheet.freeze_panes in {"A2", "B2", "C2"}
        assert sheet.auto_filter.ref
        widths = [each.width for each in sheet.column_dimensions.values()]
        assert min(widths) >= 8
        assert max(widths) <= 50


def test_every_column_is_explained():
    found = book(xlsx.render(paper()))
    rows = {
        (row[0].value, row[1].value): row[4].value for row in found["Columns"].iter_rows(min_row=2)
    }
    for name in ("Zones", "Steps", "Totals", "Loads"):
        for cell in found[name][1]:
            assert rows[name, cell.value]


def test_no_cell_is_a_formula_or_a_link_and_all_text_comes_back(figure):
    data = xlsx.render(of_formulas())
    found = book(data)
    cells = [cell for sheet in found for row in sheet.iter_rows() for cell in row if cell.value]
    assert {cell.data_type for cell in cells} <= {"s", "n", "d"}  # no "f"
    assert not [cell for cell in cells if cell.hyperlink]
    texts = [cell.value for cell in cells if cell.data_type == "s"]
    assert not [each for each in texts if each.lstrip().startswith(("=", "+", "-", "@"))]
    typed = [each.replace("\r", "\n") for each in FORMULAS]
    for sheet, header in (("Zones", "name"), ("Zones", "public note"), ("Steps", "remark")):
        came = {unguarded(each) for each in column(found[sheet], header)}
        assert came == set(typed), header
        back = sum(each in came for each in typed)
        figure(21, f"XLSX: 0 formula cells, {back} of {len(typed)} come back")
    with zipfile.ZipFile(io.BytesIO(data)) as members:
        assert not [name for name in members.namelist() if b"<f>" in members.read(name)]


def test_it_says_nothing_of_the_machine_and_is_the_same_twice():
    data = xlsx.render(paper())
    assert xlsx.render(paper()) == data
    found = book(data).properties
    assert (found.created, found.modified) == (midnight(2027, 8, 2), midnight(2027, 8, 2))
    assert (found.creator, found.lastModifiedBy, found.title) == (None, None, "Hollin Court")
    for member in zipfile.ZipFile(io.BytesIO(data)).infolist():
        assert member.date_time == (1980, 1, 1, 0, 0, 0)


def test_a_text_longer_than_a_cell_may_be_is_cut_and_not_lost():
    made = paper(["x" * 40_000] * 12)
    assert len(column(book(xlsx.render(made))["Zones"], "name")[0]) == 32_767


def test_tables_may_be_empty():
    plan = paper().plan
    bare = replace(plan, steps=pd.DataFrame(), totals=pd.DataFrame(), loads=pd.DataFrame())
    found = book(xlsx.render(paper().of(plan=bare)))
    assert found["Loads"].max_row == 1
    assert found["Loads"]["A1"].value == "zone id"


def test_without_the_package_it_says_what_to_install(monkeypatch):
    monkeypatch.setitem(sys.modules, "xlsxwriter", None)
    monkeypatch.setattr(xlsx, "find_spec", lambda name: None)
    with pytest.raises(ExtraNeeded, match=r"lawnmap\[xlsx\]"):
        xlsx.render(paper())
