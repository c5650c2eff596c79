"""A calibration in the depot changes the loads of a plan as arithmetic by hand says."""

import csv
import datetime as dt
import shutil
from pathlib import Path

import pytest

from lawnmap.errors import InputRefused
from lawnmap.jobs.calibrate import Setup, calibrate
from lawnmap.jobs.choices import choices
from lawnmap.jobs.issue import issue
from lawnmap.jobs.opening import open_site
from lawnmap.jobs.plan import plan
from lawnmap.store import calibrations

SAMPLE = Path(__file__).parents[2] / "sample_geo" / "site"
TODAY = dt.date(2026, 8, 1)
NAME = "knapsack sprayer, 15 l"


@pytest.fixture
def garden(tmp_path):
    """Return the sample with a label that leaves the water to the applicator, from 0.04 l/m²."""
    path = tmp_path / "garden"
    shutil.copytree(SAMPLE, path)
    cards = (path / "products.toml").read_text(encoding="utf-8")
    for old, new in (
        ('rate_printed = "50 g in 10 l over 16 m²"', "rate_g_m2 = 3.125"),
        ("water_low_l_m2 = 0.4", "water_low_l_m2 = 0.04"),
    ):
        assert old in cards
        cards = cards.replace(old, new)
    (path / "products.toml").write_text(cards, encoding="utf-8")
    return path


def planned(path):
    opened = open_site(path)
    made = choices(opened, depot=None, personal=path / "nobody", today=TODAY)
    return plan(opened.site, made, today=TODAY)


def test_the_loads(garden):
    before = planned(garden)
    strip = {"width": "1 m", "length": "10 m", "caught": "2 l"}
    setup = Setup("Knapsack Sprayer, 15 L")  # whatever the case of its letters
    calibrate("knapsack", strip, setup, depot=garden, day=dt.date(2026, 7, 1))
    after = planned(garden)
    assert list(before.steps["operation"]) == list(after.steps["operation"])
    sprayed = before.steps["kind"].eq("spray") & before.steps["water_l"].gt(0)
    assert sprayed.any()
    assert set(before.steps.loc[sprayed, "machine"]) == {NAME}
    area = before.steps.loc[sprayed, "area_m2"]
    # The generic knapsack puts on 0.1 l/m² (common practice); this one 2 l on 10 m² = 0.2 l/m².
    assert list(before.steps.loc[sprayed, "water_l"]) == pytest.approx(list(area * 0.1))
    assert list(after.steps.loc[sprayed, "water_l"]) == pytest.approx(list(area * 0.2))
    assert list(before.steps["amount"].dropna()) == list(after.steps["amount"].dropna())
    # 15 l at 0.1 l/m² do 150 m² with 150 · 3.125 = 468.75 g; at 0.2 l/m² 75 m² with 234.375 g.
    for made, area_m2, grams in ((before, 150, 468.75), (after, 75, 234.375)):
        loads = made.loads[made.loads["full_water_l"] > 0]
        full = loads[loads["full_loads"] > 0]
        assert len(full)
        assert list(full["full_area_m2"]) == pytest.approx([area_m2] * len(full))
        assert list(full["full_product"]) == pytest.approx([grams] * len(full))
        assert list(loads["full_loads"] * area_m2 + loads["last_area_m2"]) == (
            pytest.approx(list(area))
        )


def test_it_is_told(garden):
    row = {"date": "2026-07-01", "applicator": NAME, "water_l_m2": "0.2"}
    assert not any("calibrated" in each for each in planned(garden).warnings)
    calibrations.append(garden, row)
    made = planned(garden)
    assert f"{NAME} was calibrated on 2026-07-01 at 0.2 l/m²." in made.warnings
    rows = made.steps[made.steps["kind"].eq("spray") & made.steps["status"].eq("do")]
    assert rows["remark"].str.contains("Calibrated on 2026-07-01: 0.2 l/m²", regex=False).any()


def test_the_newest_of_those_already_made(garden):
    for day, water in (("2026-07-01", "0.2"), ("2025-07-01", "0.3"), ("2026-09-01", "0.4")):
        calibrations.append(garden, {"date": day, "applicator": NAME, "water_l_m2": water})
    calibrations.append(garden, {"date": "2026-07-15", "applicator": NAME, "rate_g_m2": "30"})
    opened = open_site(garden)
    machine = choices(opened, depot=None, personal=garden, today=TODAY).machines[NAME]
    assert (machine.water_l_m2, machine.calibrated) == (0.2, dt.date(2026, 7, 1))


def test_it_beats_the_card_of_the_machine(garden):
    card = f'[[machine]]\nname = "{NAME}"\nkind = "knapsack"\ntank_l = 15\nwater_l_m2 = 0.3\n'
    (garden / "machines.toml").write_text(card, encoding="utf-8")
    opened = open_site(garden)

    def water():
        return choices(opened, depot=None, personal=garden, today=TODAY).machines[NAME].water_l_m2

    assert water() == 0.3
    calibrations.append(garden, {"date": "2026-07-01", "applicator": NAME, "water_l_m2": "0.2"})
    assert water() == 0.2


@pytest.mark.parametrize(
    ("day", "water"),
    [("2026-07-01", "lots"), ("2026-07-01", "-1"), ("2026-07-01", "0"), ("2026-07-01", "200"),
     ("1 July", "0.2"), ("2026-07-01", "nan")],
)  # fmt: skip
def test_a_row_that_cannot_be_is_named(garden, day, water):
    with (garden / "calibration.csv").open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows([["date", "applicator", "water_l_m2"], [day, NAME, water]])
    with pytest.raises(InputRefused, match="says") as error:
        planned(garden)
    assert error.value.file == "calibration.csv"
    assert NAME in error.value.place


def test_a_plan_with_it_can_be_issued(garden):
    calibrations.append(garden, {"date": "2026-07-01", "applicator": NAME, "water_l_m2": "0.2"})
    issued, _ = issue(
        open_site(garden).folder, planned(garden), audience="crew", name="Crew", units="metric"
    )
    assert issued.read("inputs.json")["machines"][NAME]["calibrated"] == "2026-07-01"
