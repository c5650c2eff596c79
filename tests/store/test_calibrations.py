"""Calibrations are facts: added, never changed, and never lost."""

import contextlib
import csv

import pytest

from lawnmap.errors import InputRefused, LawnmapError, SiteDamaged
from lawnmap.store.calibrations import COLUMNS, NAME, append, latest, read
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
