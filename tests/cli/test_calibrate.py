"""``lawnmap calibrate`` as a person types it."""

import csv

import pytest

from tests.cli.runner import run

STRIP = ("width=1 m", "length=10 m", "caught=400 ml")
NAME = ("--applicator", "walk-over boom")


def test_a_knapsack(tmp_path):
    outcome = run(
        "calibrate", "knapsack", *STRIP, "time=12 s", "tank=15 l", "wanted=500 l/ha", *NAME,
        "--operator", "Sam", "--pressure", "2 bar", "--depot", tmp_path, "--today", "2027-03-01",
    )  # fmt: skip
    assert outcome.code == 0, outcome.err
    # 0.4 l on 10 m²; 10 m in 12 s are 3 km/h, and 4/5 of the rate wants 4/5 of the speed.
    assert outcome.out == (
        "It puts on 0.04 l/m² (400 l/ha).\n"
        "That is 20 % less than 0.05 l/m² (500 l/ha). Walk at 2.4 km/h (100 m in 150 s) instead of "
        "3 km/h, and measure again.\n"
        "A full 15 l does 375 m².\n"
        f"Kept in {tmp_path / 'calibration.csv'}.\n"
    )
    assert outcome.err == ""
    with (tmp_path / "calibration.csv").open(encoding="utf-8", newline="") as file:
        (row,) = csv.DictReader(file)
    assert (row["date"], row["water_l_m2"], row["operator"]) == ("2027-03-01", "0.04", "Sam")


def test_gallons_of_a_country(tmp_path):
    # NC State Extension worksheet: 6 ft wide, 57 ft long, 7.5 fl oz: 7.5 US gal/acre.
    strip = ("width=6 ft", "length=57 ft", "caught=7.5 US fl oz", "wanted=7.5 US gal per acre")
    outcome = run("calibrate", "knapsack", *strip, *NAME, "--depot", tmp_path, "--dry-run")
    assert "near enough to 0.00702 l/m²" in outcome.out
    assert "Nothing was kept." in outcome.out
    assert list(tmp_path.iterdir()) == []
    other = (*strip[:3], "wanted=7.5 imperial gal per acre")
    assert "17 % less" in run("calibrate", "knapsack", *other, *NAME, "--dry-run").out


def test_as_json(tmp_path):
    outcome = run(
        "calibrate", "drop", "width=0.5 m", "length=20 m", "caught=250 g", "wanted=30 g/m2",
        "--applicator", "S", "--setting", "4", "--depot", tmp_path, "--json",
    )  # fmt: skip
    result = outcome.json["result"]
    assert (result["rate_g_m2"], result["water_l_m2"], result["near_enough"]) == (25, None, False)
    assert result["saved"] == str(tmp_path / "calibration.csv")
    assert result["row"]["setting"] == "4"


@pytest.mark.parametrize(
    ("arguments", "code", "words"),
    [
        (("hose", *STRIP), 2, "'hose' is not one of"),
        (("knapsack", "width"), 2, "'width' is not NAME=VALUE"),
        (("knapsack", "=1 m"), 2, "is not NAME=VALUE"),
        (("knapsack", *STRIP, "width=2 m"), 2, "width stands twice"),
        (("knapsack", *STRIP[:2]), 3, "caught is missing for a knapsack"),
        (("drop", "width=1 m", "length=9 m", "caught=9 g", "setting=4"), 3,
         "'setting' is not measured for a drop spreader"),
        (("knapsack", *STRIP[:2], "caught="), 3, "caught is missing"),
        (("knapsack", *STRIP[:2], "caught=1 gal"), 3, "may be US or imperial"),
        (("knapsack", *STRIP[:2], "caught=400 g"), 3, "is not a volume that is known here"),
        (("knapsack", "width=1,5 m", *STRIP[1:]), 3, "width: '1,5 m' has a comma"),
        (("knapsack", "width=1", *STRIP[1:]), 3, "width: '1' names no unit"),
        (("knapsack", "width=0 m", *STRIP[1:]), 3, "width: '0 m' is not above zero"),
        (("knapsack", *STRIP[:2], "caught=400 l"), 3, "more than any applicator puts on"),
        (("sprayer", "width=1 m", "caught=1 l", "time=60 s"), 3, "the speed is missing"),
        (("rotary", "length=9 m", "caught=9 g"), 3, "the width is missing"),
        (("rotary", "length=9 m", "caught=9 g", "trays=1;2;2;1 g", "spacing=1 m"), 3,
         "an odd number of trays"),
        (("knapsack", *STRIP, "--pressure", "2"), 3, "pressure: '2' names no unit"),
        (("knapsack", *STRIP, "--depot", "nowhere"), 3, "nowhere: is not a folder"),
        (("knapsack", *STRIP, "--today", "soon"), 2, "'soon' is not a date"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_told(tmp_path, arguments, code, words):
    outcome = run("calibrate", *arguments, *NAME, *(
        () if "--depot" in arguments else ("--depot", tmp_path)
    ))  # fmt: skip
    assert outcome.code == code
    assert words in outcome.err
    assert "Traceback" not in outcome.err
    assert outcome.out == ""
    assert list(tmp_path.iterdir()) == []


def test_a_name_is_needed_and_a_damaged_file_is_left_as_it_is(tmp_path):
    assert "Missing option '--applicator'" in run("calibrate", "knapsack", *STRIP).err
    blank = run("calibrate", "knapsack", *STRIP, "--applicator", " ", "--depot", tmp_path)
    assert (blank.code, "has no name" in blank.err) == (3, True)
    (tmp_path / "calibration.csv").write_text("broken,header\n", encoding="utf-8")
    outcome = run("calibrate", "knapsack", *STRIP, *NAME, "--depot", tmp_path)
    assert outcome.code == 4
    assert (tmp_path / "calibration.csv").read_text(encoding="utf-8") == "broken,header\n"
