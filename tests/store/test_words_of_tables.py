"""What is told, word for word, of calibrations, heights, surfaces and weather; and their bounds."""

import datetime as dt
import json
import math

import numpy as np
import pytest

from lawnmap.errors import InputRefused, SiteDamaged
from lawnmap.found import Heights
from lawnmap.model import Machine
from lawnmap.store import calibrations, heights, surface, weather
from lawnmap.store.folder import Folder
from tests.store.sites import told

DONE = "Nothing was changed."
CORRECT = "Correct it, or move heights.csv out of the folder and read the heights again."
HEAD = "lon,lat,height_m,row,col\n"
THREE = "1,2,3,,\n1,3,3,,\n2,2,3,,\n"
TODAY = dt.date(2027, 5, 1)
ROW = {"date": "2027-03-01", "applicator": "Spreader", "kind": "drop"}


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (
            "lon,lat,height_m\n1,2,3\n",
            "line 1: has not the columns lon, lat, height_m, row, col",
        ),
        (HEAD, "holds 0 heights, and a surface takes three"),
        (HEAD + THREE[:16], "holds 2 heights, and a surface takes three"),
        (HEAD + "1,2,x,,\n", "line 2: 'x' is not a number"),
        (HEAD + "\n180.5,2,3,,\n", "line 3: lon is 180.5"),
        (HEAD + "1,-90.5,3,,\n", "line 2: lat is -90.5"),
        (HEAD + "1,2,12000.5,,\n", "line 2: height_m is 12000.5"),
        (
            HEAD + THREE.replace(",,", ",0,", 1),
            "line 2: row and col are not whole numbers, both or neither",
        ),
        (
            HEAD + THREE.replace(",,", ",,0", 1),
            "line 2: row and col are not whole numbers, both or neither",
        ),
        (
            HEAD + "1,2,3,0,0\n1,3,3,0,1\n\n2,2,3,0,1\n",
            "line 5: is a second height for one cell",
        ),
        (
            HEAD + "1,2,3,0,0\n1,3,3,0,1\n2,2,3,1000,1000\n",
            "is a grid of 1,001 rows by 1,001 columns",
        ),
    ],
)
def test_of_heights(text, says):
    assert told(heights.parse, text.encode()) == f"heights.csv: {says}. {DONE} {CORRECT}"


def test_the_heights_that_there_may_be():
    text = HEAD + "180,90,12000,,\n-180,-90,-12000,,\n0,0,0,,\n"
    found = heights.parse(text.encode())
    assert found.shape is None
    assert found.points.tolist() == [[180, 90, 12_000], [-180, -90, -12_000], [0, 0, 0]]
    assert heights.encode(found).decode() == (
        HEAD + "180.0,90.0,12000.0,,\n-180.0,-90.0,-12000.0,,\n0.0,0.0,0.0,,\n"
    )
    grid = heights.parse((HEAD + "1,2,3,0,0\n1,3,4,0,1\n2,2,5,999,999\n").encode())
    assert grid.shape == (1_000, 1_000)
    assert np.isfinite(grid.points).all(axis=1).sum() == 3
    assert grid.points[[0, 1, 999_999], 2].tolist() == [3, 4, 5]
    small = Heights(np.array([[0, 1, 2], [np.nan] * 3, [3, 4, 5], [6, 7, 8.5]]), (2, 2))
    assert heights.encode(small).decode() == (
        HEAD + "0.0,1.0,2.0,0,0\n3.0,4.0,5.0,1,0\n6.0,7.0,8.5,1,1\n"
    )


def made_surface(**changes):
    value = {
        "format": 1,
        "source": "a flight",
        "read_on": "2027-03-01",
        "first": [0.5, 52.0],
        "column": [1.0, 0.0],
        "row": [0.0, -1.0],
        "shape": [3, 4],
        "cm": [None, *range(1, 12)],
    }
    return json.dumps({**value, **changes}).encode()


def test_a_surface_to_the_letter():
    found = surface.parse(made_surface())
    assert (found.source, found.read_on) == ("a flight", dt.date(2027, 3, 1))
    assert (found.first, found.column, found.row) == ((0.5, 52.0), (1.0, 0.0), (0.0, -1.0))
    assert math.isnan(found.heights[0, 0])
    assert found.heights[2].tolist() == [0.08, 0.09, 0.1, 0.11]
    again = surface.encode(found)
    assert json.loads(again) == json.loads(made_surface())
    assert again.endswith(b"}\n")


def test_the_surfaces_that_there_may_be():
    for changes in (
        {"first": [180, 89]},
        {"first": [-180, -89]},
        {"cm": [1_200_000] * 12},
        {"cm": [-1_200_000] * 12},
        {"column": [2.0, 0.0]},
        {"row": [0.0, -2.0]},
        {"shape": [3, 3], "cm": [1] * 9},
        {"source": "s" * 200},
    ):
        assert len(surface.parse(made_surface(**changes)).source) <= 100
    refused = f"surface.json: is damaged, or of a newer lawnmap. {DONE} {surface.REMEDY}"
    for changes in (
        {"first": [180.1, 52]},
        {"first": [0, -89.1]},
        {"cm": [1_200_001] * 12},
        {"cm": [None] * 12},
        {"cm": [True] * 12},
        {"cm": [1] * 11},
        {"column": [2.1, 0.0]},
        {"column": [0.0, 1.0]},
        {"row": [0.0, -2.1]},
        {"shape": [2, 6]},
        {"shape": [6, 2]},
        {"shape": [3, 4, 1]},
        {"shape": [True, 12]},
        {"format": 1.0},
    ):
        assert told(surface.parse, made_surface(**changes)) == refused
    assert told(surface.parse, b"[]") == refused


def test_the_largest_surface(monkeypatch):
    monkeypatch.setattr(surface, "MOST_CELLS", 12)
    assert surface.parse(made_surface()).heights.shape == (3, 4)
    monkeypatch.setattr(surface, "MOST_CELLS", 11)
    with pytest.raises(InputRefused):
        surface.parse(made_surface())


def figure(**cells):
    row = {**ROW, **cells}
    return calibrations.applied({"s": Machine("Spreader", "spreader")}, (row,), today=TODAY)["s"]


@pytest.mark.parametrize(
    ("cells", "says", "least"),
    [
        ({"rate_g_m2": "0"}, "'0' g/m² on '2027-03-01'", "0.001 to 10000 g/m²"),
        ({"rate_g_m2": "10001"}, "'10001' g/m² on '2027-03-01'", "0.001 to 10000 g/m²"),
        ({"rate_g_m2": "x" * 50}, f"'{'x' * 40}' g/m² on '2027-03-01'", "0.001 to 10000 g/m²"),
        ({"rate_g_m2": "5", "date": "0000"}, "'5' g/m² on '0000'", "0.001 to 10000 g/m²"),
        (
            {"rate_g_m2": "5", "date": "0001-01-01"},
            "'5' g/m² on '0001-01-01'",
            "0.001 to 10000 g/m²",
        ),
        ({"water_l_m2": "20.5"}, "'20.5' l/m² on '2027-03-01'", "0.001 to 20 l/m²"),
        ({"width_m": "20.5"}, "'20.5' m on '2027-03-01'", "0.05 to 20 m"),
        ({"width_m": "0.04"}, "'0.04' m on '2027-03-01'", "0.05 to 20 m"),
        ({"speed_km_h": "-1"}, "'-1' km/h on '2027-03-01'", "0.1 to 20 km/h"),
    ],
)
def test_of_a_figure_that_cannot_be(cells, says, least):
    assert told(figure, **cells) == (
        f"calibration.csv: the calibration of Spreader: says {says}. {DONE} "
        f"Write a day as 2027-03-01, and {least}."
    )


def test_the_figures_that_there_may_be():
    found = figure(rate_g_m2="10000", water_l_m2="20", width_m="20", speed_km_h="20")
    assert [each.rate_g_m2 for each in found.caught] == [10_000]
    assert (found.water_l_m2, found.width_m, found.speed_km_h) == (20, 20, 20)
    small = figure(rate_g_m2="0.001", water_l_m2="0.001", width_m="0.05", speed_km_h="0.1")
    assert (small.water_l_m2, small.width_m, small.speed_km_h) == (0.001, 0.05, 0.1)
    assert (found.calibrated, found.paced) == (dt.date(2027, 3, 1), dt.date(2027, 3, 1))
    assert figure(date="2027-05-01", water_l_m2="1").water_l_m2 == 1  # measured today
    assert figure(date="2027-05-02", water_l_m2="1").water_l_m2 is None  # nobody knows it yet
    assert figure(water_l_m2=" ", width_m=" ").width_m is None


def test_of_the_table_of_calibrations(tmp_path):
    assert told(calibrations.append, tmp_path, {"b": "", "a": ""}) == (
        f"calibration.csv: there is no column 'a'. {DONE}"
    )
    assert told(calibrations.append, tmp_path / "none", ROW) == (
        f"none: is not a folder. {DONE} Make the depot's folder."
    )
    for data, says in (
        (b"date,machine\n", "has no column applicator"),
        (b"applicator,machine\n", "has no column date"),
        (b"date\n\xff", "is not UTF-8 text (byte 6; it looks like Latin-1 or Windows-1252)"),
    ):
        (tmp_path / calibrations.NAME).write_bytes(data)
        refused = told(calibrations.append, tmp_path, ROW)
        assert refused == f"calibration.csv: {says}. {DONE} Mend it in a text editor."
    (tmp_path / calibrations.NAME).unlink()
    (tmp_path / calibrations.NAME).mkdir()
    with pytest.raises((SiteDamaged, InputRefused), match=r"calibration\.csv"):
        calibrations.append(tmp_path, ROW)


def test_a_calibration_that_was_cut_off_is_in_nobodys_way(tmp_path):
    (tmp_path / ".calibration.csv.tmp").write_bytes(b"half")
    (tmp_path / calibrations.NAME).write_bytes(b"")
    assert calibrations.append(tmp_path, ROW) == ()
    assert len(calibrations.read(tmp_path)) == 1


def test_the_first_and_the_last_year_of_weather():
    for day in ("1900-01-01", "2100-12-31"):
        found = weather.parse(f"date,mean_c\n{day},1\n".encode())
        assert found.first == dt.date.fromisoformat(day)
    for day in ("1899-12-31", "2101-01-01"):
        assert told(weather.parse, f"date,mean_c\n{day},1\n".encode()) == (
            f"weather.csv: line 2, date: '{day}' is not a day from 1900 to 2100. {DONE} "
            "Write it as 2026-10-26."
        )


def test_the_most_weather(tmp_path, monkeypatch):
    data = b"date,mean_c\n2026-01-01,1\n2026-01-02,2\n"
    (tmp_path / "weather.csv").write_bytes(data)
    monkeypatch.setattr(weather, "LARGEST", len(data))
    monkeypatch.setattr(weather, "MOST_ROWS", 2)
    assert weather.read(Folder(tmp_path)).first == dt.date(2026, 1, 1)
    monkeypatch.setattr(weather, "MOST_ROWS", 1)
    assert told(weather.read, Folder(tmp_path)) == (
        f"weather.csv: holds more than 1 days. {DONE} Leave out old years."
    )
    monkeypatch.setattr(weather, "LARGEST", len(data) - 1)
    assert "is larger than" in told(weather.read, Folder(tmp_path))
    assert told(weather.parse, b"\xff", name="w.csv").startswith("w.csv: is not UTF-8 text")


def test_a_row_that_names_no_applicator_is_nobodys():
    rows = ({"date": "2027-03-01", "rate_g_m2": "5", "water_l_m2": "1", "width_m": "1"},)
    assert calibrations.latest(rows, "XXXX") is None
    spreader = Machine("Spreader", "spreader")
    assert calibrations.applied({"s": spreader}, rows, today=TODAY) == {"s": spreader}


def test_catch_tests_of_one_day_keep_the_order_of_the_file():
    rows = tuple({**ROW, "product": name, "rate_g_m2": "5"} for name in ("Z", "A", "M"))
    found = calibrations.applied({"s": Machine("Spreader", "spreader")}, rows, today=TODAY)["s"]
    assert [each.product for each in found.caught] == ["Z", "A", "M"]


def test_a_long_day_is_cut():
    said = told(figure, rate_g_m2="5", date="0" + "9" * 60)
    assert f"says '5' g/m² on '0{'9' * 39}'. {DONE}" in said


def test_a_link_out_of_the_folder_is_told_with_what_to_do(tmp_path):
    folder = Folder(tmp_path / "garden")
    folder.path.mkdir()
    for module in (heights, surface):
        (tmp_path / module.NAME).write_bytes(b"x")
        (folder.path / module.NAME).symlink_to(tmp_path / module.NAME)
        assert told(module.read, folder) == (
            f"{module.NAME}: is a link out of the site's folder. {DONE} {module.REMEDY}"
        )
