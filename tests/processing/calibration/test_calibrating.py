"""Calibration by what a person measures, against published worked examples."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.errors import InputRefused
from lawnmap.processing.calibration.calibrating import calibrated
from lawnmap.processing.calibration.catch_form import FORMS

GPA = 9.35396e-4  # l/m² in one US gallon on the acre: agronomy.md, conversions
LB_1000 = 4.88243  # g/m² in one pound on 1,000 ft²: the same


def test_knapsack_on_a_measured_strip():
    # NSW DPI calibration record, 28 July 2009: V litres on 10 m × 1 m is V × 1000 l/ha.
    found = calibrated("knapsack", {"width": "1 m", "length": "10 m", "caught": "400 ml"})
    assert found.water_l_m2 == pytest.approx(0.04)
    assert found.said == ("It puts on 0.04 l/m² (400 l/ha).",)


def test_knapsack_in_us_units():
    # NC State Extension worksheet: 6 ft wide, 57 ft long (340/6), 17 s, 7.5 fl oz: 7.5 gal/acre.
    measured = {"width": "6 ft", "length": "57 ft", "caught": "7.5 US fl oz", "time": "17 s"}
    found = calibrated("knapsack", measured)
    assert found.water_l_m2 / GPA == pytest.approx(7.5, rel=0.01)
    # 57 ft in 17 s is 3.35 ft/s, 2.29 mph
    assert found.speed_km_h == pytest.approx(57 / 17 * 0.3048 * 3.6)
    # imperial fluid ounces are 4 % smaller, an imperial gallon of them a fifth larger: a swap shows
    swapped = calibrated("knapsack", measured | {"caught": "7.5 imperial fl oz"})
    assert swapped.water_l_m2 / found.water_l_m2 == pytest.approx(28.4130625 / 29.5735295625)


def test_knapsack_by_a_minute_of_walking():
    # A horticulture student's record (rayshorticulture.blogspot.com, August 2009): 1.01 l in a
    # minute, 46 m walked, 0.51 m wide: printed 430.52 l/ha.
    found = calibrated(
        "knapsack", {"width": "0.51 m", "length": "46 m", "caught": "1.01 l", "time": "1 min"}
    )
    assert found.water_l_m2 * 10_000 == pytest.approx(430.52, rel=1e-4)


def test_slower_for_more_water():
    # A knapsack course (pesticidewise.com, step 5): 0.75 m wide and 33.3 m long, walked in 55 s
    # where 200 l/ha wants 50 s, 2.4 km/h. So that nozzle gives 500 ml in 50 s, and 550 ml in 55 s.
    found = calibrated(
        "knapsack",
        {"width": "0.75 m", "length": "33.3 m", "caught": "550 ml", "time": "55 s",
         "wanted": "200 l/ha", "tank": "15 l"},
    )  # fmt: skip
    assert found.good is False
    assert found.speed_km_h == pytest.approx(33.3 / 55 * 3.6)
    assert "10 % more than 0.02 l/m² (200 l/ha). Walk at 2.4 km/h (100 m in 150 s)" in found.said[1]
    assert found.said[2] == "A full 15 l does 681 m²."


def test_sprayer_by_speed_and_flow():
    # Countryco Training, "Useful tools": 24 l/min, 200 m/min (12 km/h), 12 m: 100 l/ha.
    found = calibrated(
        "sprayer",
        {"width": "12 m", "caught": "; ".join(["1 l"] * 24), "time": "60 s", "speed": "200 m/min"},
    )
    assert found.water_l_m2 * 10_000 == pytest.approx(100)
    assert found.flow_l_min == pytest.approx(24)
    assert len(found.said) == 1


def test_flow_that_is_needed():
    # A sprayer manual: 8 km/h, 12 m and 100 l/ha need 16 l/min: of 20 nozzles 0.8 l/min each.
    found = calibrated(
        "sprayer",
        {"width": "12 m", "caught": "; ".join(["1 l"] * 20), "time": "1 min", "speed": "8 km/h",
         "wanted": "100 l/ha"},
    )  # fmt: skip
    assert "each nozzle gives 0.8 l/min" in found.said[-1]
    assert "Walk at 10 km/h" in found.said[-1]


def test_rows_of_two_nozzles():
    # LSU AgCenter: 40 in rows, 102 ft in 17 s, 14 oz from both nozzles: 14 US gallons an acre.
    found = calibrated(
        "sprayer",
        {"width": "40 in", "caught": "7; 7 US fl oz", "time": "17 s", "distance": "102 ft",
         "walked": "17 s"},
    )  # fmt: skip
    assert found.water_l_m2 / GPA == pytest.approx(14.01, abs=0.01)


def test_boomless():
    # Albany County Weed & Pest: 480 oz in a minute, 5 mph, 222 in: 20.07 (printed 20) gallons.
    found = calibrated(
        "sprayer",
        {"width": "222 in", "caught": "480 US fl oz", "time": "60 s", "speed": "5 mph",
         "wanted": "20 US gal/acre"},
    )  # fmt: skip
    assert found.water_l_m2 / GPA == pytest.approx(20.07, abs=0.01)
    assert found.good
    imperial = calibrated(
        "sprayer",
        {"width": "222 in", "caught": "480 US fl oz", "time": "60 s", "speed": "5 mph",
         "wanted": "20 imperial gal/acre"},
    )  # fmt: skip
    assert imperial.good is False


@pytest.mark.parametrize("spacing", [(30, 136), (20, 204), (12, 340), (10, 408)])
def test_ounces_on_the_128th_of_an_acre_are_gallons_an_acre(spacing):
    # LSU AgCenter; Larimer County: the course is 340 ft² (exactly 340.3), so oz caught = gal/acre.
    width, length = spacing
    found = calibrated(
        "knapsack", {"width": f"{width} in", "length": f"{length} ft", "caught": "15 US fl oz"}
    )
    assert found.water_l_m2 / GPA == pytest.approx(15, rel=1.2e-3)


@pytest.mark.parametrize(("output", "said"), [(0.7125, 0), (0.7875, 0), (0.70, 1), (0.80, 1)])
def test_a_nozzle_out_of_line(output, said):
    # Alberta Agriculture, Agdex 606-1: about a mean of 0.75 l/min the band is 0.71 to 0.79 l/min,
    # and a nozzle more than 5 % from the mean is replaced. Two hundred nozzles hold the mean still.
    bank = ["0.75"] * 199 + [f"{output} l"]
    found = calibrated(
        "sprayer", {"width": "6 m", "caught": ";".join(bank), "time": "1 min", "speed": "5 km/h"}
    )
    assert len([each for each in found.said if each.startswith("Nozzle 200")]) == said


def test_agdex_tanks():
    # The same sheet: 30 acres at 40 l an acre are 1,200 l, so 1,200 l do 30 acres.
    found = calibrated(
        "sprayer",
        {"width": "1 m", "caught": "40 l", "time": "1 min", "speed": "4046.8564224 m/min",
         "tank": "1200 l"},
    )  # fmt: skip
    assert found.water_l_m2 == pytest.approx(40 / 4046.8564224)
    assert found.said[-1] == "A full 1200 l does 121406 m²."


def test_can():
    # Cornwall Cricket Groundsmen, 28 January 2019: 10 l on 16 m² is 0.625 l/m²; and 2 imperial
    # gallons on 20 yd² (here 5 × 4 yd) 0.544 l/m². With US gallons it would be 0.453.
    metric = calibrated("can", {"width": "2 m", "length": "8 m", "caught": "10 l"})
    assert metric.water_l_m2 == pytest.approx(0.625)
    place = {"width": "4 yd", "length": "5 yd"}
    imperial = calibrated("can", place | {"caught": "2 imperial gal"})
    assert imperial.water_l_m2 == pytest.approx(0.544, abs=5e-4)
    assert calibrated("can", place | {"caught": "2 US gal"}).water_l_m2 == pytest.approx(
        0.453, abs=5e-4
    )


def test_a_can_is_pegged_out():
    # practice.md (c) 4: at 0.625 l/m² each can of 10 l has a patch of 2 × 8 m.
    found = calibrated(
        "can", {"width": "2 m", "length": "5 m", "caught": "10 l", "wanted": "0.625 l/m²"}
    )
    assert found.said[-1].endswith("Peg out 2 × 8 m for one can of 10 l.")


def test_drop_spreader():
    # Consumer Reports, October 2006: 1/2 lb on 1 ft × 50 ft is 10 lb on 1,000 ft².
    measured = {"width": "1 ft", "length": "50 ft", "caught": "1/2 lb"}
    found = calibrated("drop", measured | {"wanted": "10 lb/1000 ft2"})
    assert found.rate_g_m2 / LB_1000 == pytest.approx(10, rel=1e-5)
    assert found.good
    # avoirdupois ounces are a weight: 8 oz are the same half pound
    assert calibrated("drop", measured | {"caught": "8 oz"}).rate == pytest.approx(found.rate)
    with pytest.raises(InputRefused):
        calibrated("drop", measured | {"caught": "8 US fl oz"})


@pytest.mark.parametrize(
    ("width", "length"), [("18 in", "66 2/3 ft"), ("2 ft", "50 ft"), ("3 ft", "33 1/3 ft")]
)
def test_a_bag_on_5000_square_feet(width, length):
    # A fertiliser maker's guide: 25 lb on 5,000 ft² is 0.5 lb on the 100 ft² of the test.
    found = calibrated(
        "drop",
        {"width": width, "length": length, "caught": "0.5 lb", "wanted": "5 lb/1000 ft2"},
    )
    assert found.rate_g_m2 / LB_1000 == pytest.approx(5, rel=1e-4)
    assert found.said[-1].endswith("leave it so.")


@pytest.mark.parametrize(
    ("caught", "good"), [("4.75", True), ("5.25", True), ("4.7", False), ("5.3", False)]
)
def test_near_enough(caught, good):
    # University of Massachusetts Amherst, "Rotary spreader calibration procedures": for 5.00 lb on
    # 1,000 ft² (20-5-10 at 1 lb N) a setting that gives 4.75 to 5.25 lb will do.
    found = calibrated(
        "rotary",
        {"width": "10 ft", "length": "100 ft", "caught": f"{caught} lb",
         "wanted": "5 lb/1000 ft2"},
    )  # fmt: skip
    assert found.good is good


def test_rotary_by_trays():
    # P. Landschoot, Penn State (28 March 2016): the width ends at half of the middle tray's catch.
    # W. Reeves, Georgia: at 10 ft the run is 100 ft for 1,000 ft²; weigh what is gone.
    trays = "0; 5; 9; 10; 10; 10; 10; 10; 9; 5; 0 g"
    found = calibrated(
        "rotary", {"trays": trays, "spacing": "15 in", "length": "100 ft", "caught": "4 lb"}
    )
    assert found.width_m == pytest.approx(8 * 15 * 0.0254)
    assert found.rate_g_m2 / LB_1000 == pytest.approx(4, rel=1e-5)
    assert found.said[0] == "Walk lines 3.048 m apart."


def test_the_next_setting_comes_from_what_was_tried():
    measured = {"width": "0.5 m", "length": "20 m", "caught": "350 g", "wanted": "30 g/m2"}
    alone = calibrated("drop", measured, tried=[(6, 35.0)])
    assert alone.said[-1].endswith("Close it a little and catch again.")
    both = calibrated("drop", measured, tried=[(4, 25.0), (6, 35.0)])
    assert "Try setting 5, between two that were tried" in both.said[-1]


@given(st.sampled_from(sorted(FORMS)), st.floats(0.1, 20), st.floats(1, 100), st.floats(0.1, 50))
def test_twice_as_much_is_twice_the_rate(kind, width, length, caught):
    unit = "l" if FORMS[kind].caught == "volume" else "kg"
    given_ = {"width": f"{width:.6f} m", "length": f"{length:.6f} m"}
    if kind == "sprayer":
        given_ = {"width": given_["width"], "time": "30 s", "speed": "3 km/h"}
    one = calibrated(kind, given_ | {"caught": f"{caught:.6f} {unit}"})
    two = calibrated(kind, given_ | {"caught": f"{2 * float(f'{caught:.6f}'):.6f} {unit}"})
    assert two.rate == pytest.approx(2 * one.rate)


@pytest.mark.parametrize(
    ("kind", "given_", "said"),
    [
        ("hose", {}, "no kind"),
        ("can", {"width": "2 m", "length": "8 m"}, "caught is missing"),
        ("can", {"width": "2 m", "length": "8 m", "caught": "2 gal"}, "US or imperial"),
        ("can", {"width": "2", "length": "8 m", "caught": "2 l"}, "names no unit"),
        ("can", {"width": "2 m", "length": "8 m", "caught": "2 kg"}, "not a volume"),
        ("drop", {"width": "2 m", "length": "8 m", "caught": "2 kg", "time": "2 s"}, "'time'"),
        ("rotary", {"length": "8 m", "caught": "2 kg"}, "width is missing"),
        ("rotary", {"length": "8 m", "caught": "2 kg", "trays": "1; 2 g", "spacing": "1 m"}, "odd"),
        ("sprayer", {"width": "2 m", "caught": "2 l", "time": "1 min"}, "speed is missing"),
        ("sprayer", {"width": "2 m", "caught": "0,74; 0,75 l", "time": "1 min"}, "comma"),
    ],
)
def test_what_is_refused(kind, given_, said):
    with pytest.raises(InputRefused, match=said):
        calibrated(kind, given_)
