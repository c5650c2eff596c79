"""Calibrations are facts: added, never changed, and never lost."""

import contextlib
import csv
import datetime as dt

import pytest

from lawnmap.agronomy.catching import CatchTest
from lawnmap.errors import InputRefused, LawnmapError, SiteDamaged
from lawnmap.model import Machine
from lawnmap.store.calibrations import COLUMNS, NAME, append, applied, latest, read
from tests.disks import Failing

ONE = {"date": "2027-03-01", "applicator": "Knapsack", "operator": "Sam", "water_l_m2": "0.04"}
TWO = {"date": "2027-04-01", "applicator": "Knapsack", "operator": "Pat", "water_l_m2": "0.05"}


def test_rows_are_added_behind_those_there_are(tmp_path):
    assert read(tmp_path) == read(None) == ()
    assert append(tmp_path, ONE) == ()
    before = (tmp_path / NAME).read_bytes()
    append(tmp_path, TWO)
    after = (tmp_path / NAME).read_bytes()
    assert after.startswith(before)
    # RFC 4180, read by the standard library
    rows = list(csv.DictReader(after.decode().splitlines()))
    assert [row["operator"] for row in rows] == ["Sam", "Pat"]
    assert tuple(rows[0]) == COLUMNS
    assert [row["operator"] for row in read(tmp_path)] == ["Sam", "Pat"]


def test_own_columns_and_hand_written_rows_are_kept(tmp_path):
    (tmp_path / NAME).write_bytes(b"date,applicator,wind\r\n2026-05-01,Can,2\r\n")
    append(tmp_path, ONE)
    assert read(tmp_path)[0]["wind"] == "2"
    assert read(tmp_path)[1]["wind"] == ""


@pytest.mark.parametrize("said", ["=1+1", "-20", "@a", "'=1", "red, 03", 'a "b"\nc'])
def test_what_was_said_reads_back_and_is_no_formula(tmp_path, said):
    append(tmp_path, {**ONE, "nozzle": said})
    assert read(tmp_path)[0]["nozzle"] == said
    with (tmp_path / NAME).open(newline="", encoding="utf-8") as file:
        assert next(csv.DictReader(file))["nozzle"][:1] not in set("=+-@")


def test_a_damaged_table_is_left_as_it_is(tmp_path):
    for data in (b"date,applicator\n2027-03-01\n", b"day,machine\n1,2\n", b"\xff\xfe\x00"):
        (tmp_path / NAME).write_bytes(data)
        with pytest.raises(SiteDamaged):
            append(tmp_path, ONE)
        assert (tmp_path / NAME).read_bytes() == data


def test_the_newest_counts():
    rows = (TWO, ONE, {**ONE, "water_l_m2": "0.06"}, {**ONE, "applicator": "Can"})
    assert latest(rows, "knapsack") == TWO
    assert latest(rows, "Knapsack", operator="Sam")["water_l_m2"] == "0.06"
    assert latest(rows, "Knapsack", nozzle="red") is None
    assert latest((), "Can") is None


def test_what_cannot_be_added(tmp_path):
    with pytest.raises(InputRefused, match="no column 'colour'"):
        append(tmp_path, {**ONE, "colour": "red"})
    with pytest.raises(InputRefused, match="not a folder"):
        append(tmp_path / "nowhere", ONE)
    assert read(tmp_path) == ()


@pytest.mark.parametrize("number", range(1, 30))
def test_a_disk_that_fails_leaves_the_old_rows_or_the_new(tmp_path, number):
    append(tmp_path, ONE)
    with contextlib.suppress(LawnmapError):  # and no other error
        append(tmp_path, TWO, disk=Failing(number))
    assert [row["operator"] for row in read(tmp_path)] in (["Sam"], ["Sam", "Pat"])


SPREAD = {"date": "2027-03-01", "applicator": "Spreader", "kind": "drop", "product": "Sand"}


def test_a_machine_gets_its_newest_water_width_and_speed_each_for_itself():
    rows = (
        {**ONE, "kind": "knapsack", "width_m": "1.2", "speed_km_h": "3.1"},
        {**TWO, "kind": "knapsack", "width_m": "1", "speed_km_h": ""},
        {**TWO, "date": "2027-06-01", "water_l_m2": "0.09"},  # after today
    )
    card = Machine("Knapsack", "knapsack", width_m=2.0, speed_km_h=4.0, water_l_m2=0.1)
    found = applied({"Knapsack": card}, rows, today=dt.date(2027, 5, 1))["Knapsack"]
    assert (found.water_l_m2, found.width_m, found.speed_km_h) == (0.05, 1.0, 3.1)
    assert (found.calibrated, found.paced) == (dt.date(2027, 4, 1), dt.date(2027, 4, 1))


def test_what_a_can_wets_is_no_width_to_walk_at():
    rows = ({**ONE, "applicator": "Can", "kind": "can", "width_m": "2"},)
    found = applied({"Can": Machine("Can", "can")}, rows, today=dt.date(2027, 5, 1))["Can"]
    assert (found.width_m, found.paced, found.water_l_m2) == (None, None, 0.04)


def test_every_catch_test_of_a_spreader_is_kept_by_its_day():
    rows = (
        {**SPREAD, "setting": "4", "rate_g_m2": "34.2", "width_m": "0.5"},
        {**SPREAD, "date": "2027-02-01", "setting": "2", "rate_g_m2": "17"},
        {**SPREAD, "setting": "4", "rate_g_m2": "36"},
        {**SPREAD, "applicator": "Other", "setting": "4", "rate_g_m2": "99"},
    )
    card = Machine("spreader", "spreader")
    found = applied({"spreader": card}, rows, today=dt.date(2027, 5, 1))["spreader"]
    assert [each.rate_g_m2 for each in found.caught] == [17, 34.2, 36]
    assert found.tests_of("SAND") == (
        CatchTest(dt.date(2027, 2, 1), "Sand", "2", 17.0),
        CatchTest(dt.date(2027, 3, 1), "Sand", "4", 36.0),
    )
    assert found.tests_of("Feed") == ()
    assert (found.width_m, found.water_l_m2) == (0.5, None)


@pytest.mark.parametrize("cell", ["0", "-3", "10001", "much", "nan"])
def test_a_rate_that_cannot_be_is_refused(cell):
    rows = ({**SPREAD, "rate_g_m2": cell},)
    with pytest.raises(InputRefused, match="g/m²"):
        applied({"Spreader": Machine("Spreader", "spreader")}, rows, today=dt.date(2027, 5, 1))
