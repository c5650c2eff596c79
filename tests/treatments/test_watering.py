"""Litres a day for new seed: 1 mm on 1 m² is 1 l."""


def test_litres_a_day(lawn):
    row = lawn.work(lawn.zones(), lawn.choices()).step("watering")
    assert (row["water_l"], row["dose"]) == (900, 5)
    assert "21 days" in row["remark"]


def test_ones_own_depth(lawn):
    worked = lawn.work(lawn.zones(), lawn.choices(rates={"water_mm_a_day": 3}))
    assert worked.step("watering")["water_l"] == 540
