"""When: hemispheres, bans, short autumns, term, and rain."""

import datetime as dt
import shutil

import pytest

from lawnmap.jobs.issue import issue
from lawnmap.jobs.opening import open_site
from lawnmap.store import record

LAST_SOWING = dt.date(2026, 10, 10)
TITLES = ("spring iron", "seed now", "iron now")


def test_south_of_the_equator_the_year_is_turned_round(scenario):
    made = scenario("southern", "2027-02-01")
    assert "South of the equator: seasons are taken six months later" in made.said
    iron, blades, seed = (made.day(each) for each in ("iron_soluble", "scarifying", "overseeding"))
    # UK: mid-August to early October. Here: mid-February to early April.
    assert dt.date(2027, 2, 15) <= iron < blades < seed <= dt.date(2027, 4, 10)
    assert (blades - iron).days >= 14
    assert (seed - iron).days >= 42


def test_a_hosepipe_ban_keeps_blades_and_seed_back(scenario):
    made = scenario("drought")
    assert "a water ban is on" in made.step("scarifying")["flag"]
    assert "sow when it is lifted" in made.step("overseeding")["flag"]
    watering = made.step("watering")
    assert watering["rule"] == "water_seed_ban"
    # 5 mm a day on 180 m² are 900 l: by hose that is barred, by can it is 90 cans.
    assert watering["water_l"] == pytest.approx(900, rel=1e-3)
    assert "no hose" in made.why("watering")


def test_autumn_too_short_offers_three_programmes(scenario):
    made = scenario("autumn_squeeze", "2026-09-25")
    # From 1 October 42 days to seed by the label are 12 November; seed goes in by 10 October.
    assert dt.date(2026, 10, 1) + dt.timedelta(days=42) == dt.date(2026, 11, 12)
    assert "seed falls on 2026-11-12, and it is sown by 2026-10-10" in made.said
    table = made.plan.tables["programmes"].set_index("programme")
    assert tuple(table.index) == TITLES
    assert table.loc["seed now", "answer"] == "suggested"
    assert table.loc["iron now", "seed_from"] == "2027-04-01"


@pytest.mark.parametrize(
    ("programme", "now", "later"),
    [
        ("seed now", ["scarifying", "clearing", "overseeding"], ["iron_soluble"]),
        ("iron now", ["iron_soluble", "scarifying", "clearing"], ["overseeding"]),
        ("spring iron", [], ["iron_soluble", "scarifying", "clearing", "overseeding"]),
    ],
)
def test_a_programme_that_is_chosen_is_followed(
    scenarios, plan_of, tmp_path, programme, now, later
):
    folder = copy(scenarios, "autumn_squeeze", tmp_path)
    text = (folder / "specification.toml").read_text(encoding="utf-8")
    (folder / "specification.toml").write_text(
        f'programme = "{programme}"\n{text}', encoding="utf-8"
    )
    made = plan_of(folder, "2026-09-25")
    assert [each for each in now if made.step(each)["status"] != "do"] == []
    assert [each for each in later if made.step(each)["status"] != "later"] == []
    if "overseeding" in now:
        assert made.day("overseeding") <= LAST_SOWING
    dated = made.plan.steps[made.plan.steps["day"] != ""]
    iron, seed = (
        list(dated.loc[dated["operation"] == each, "day"])
        for each in ("iron_soluble", "overseeding")
    )
    assert not (iron and seed)


def test_a_school_has_a_whole_plan_without_iron(scenario):
    made = scenario("school", "2026-07-10")
    assert not made.plan.steps["operation"].str.startswith(("iron", "lawn_sand")).any()
    for zone_id in ("field", "front"):
        assert made.zone(zone_id)["iron_rule"] == "iron_none_site"
    # From 35 mm to 20 are two cuts of a third at the most.
    assert made.operations("field")[:7] == [
        "mowing", "mowing", "scarifying", "clearing", "aerating", "overseeding", "feeding",
    ]  # fmt: skip
    # What keeps moss out is said before anything is bought.
    assert "slow drainage; firm soil; worn" in made.zone("field")["causes"]
    assert "Get the water away" in made.zone("field")["stop_it"]


def test_a_school_is_only_worked_in_its_holidays(scenario):
    steps = scenario("school", "2026-07-10").plan.steps
    holidays = [("2026-07-23", "2026-08-31"), ("2026-09-26", "2026-09-27"),
                ("2026-10-24", "2026-11-01")]  # fmt: skip
    dated = steps[steps["day"] != ""]
    assert len(dated) == len(steps)
    for day in (*dated["day"], *filter(None, dated["day_last"])):
        assert any(first <= day <= last for first, last in holidays), day
    field = dated[dated["zone_id"] == "field"]
    club = {"2026-08-17", "2026-08-18"}
    assert not club & {*field["day"], *field["day_last"]}


def test_work_rained_off_rolls_on_and_says_what_moved(scenarios, plan_of, tmp_path):
    folder = copy(scenarios, "rained_off", tmp_path)
    told = plan_of(folder, "2026-08-10")
    assert told.day("iron_soluble", "east") == told.day("iron_soluble", "west")
    promised = told.day("iron_soluble", "west")
    issue(open_site(folder).folder, told.plan, audience="client", name="The owner")
    done(folder, "east", ("mowing", "iron_soluble"), promised)

    # The first rain: the next day is closed for a party, so it is the day after.
    first = plan_of(folder, "2026-08-19")
    assert promised == dt.date(2026, 8, 18)
    assert first.day("iron_soluble", "west") == dt.date(2026, 8, 20)
    # It rains again.
    second = plan_of(folder, "2026-08-21")
    assert second.day("iron_soluble", "west") == dt.date(2026, 8, 21)
    assert (
        "iron soluble on west: promised for 2026-08-18, now 2026-08-21: that day is past and the "
        "work is not on record" in second.said
    )
    # Seed waits 42 days from the day it was really done; the machine stays booked as it was told.
    assert second.day("overseeding", "west") == dt.date(2026, 10, 2)
    assert second.day("scarifying", "west") == told.day("scarifying", "west")
    # What is done stays where it was, and the other lawn does not move at all.
    assert second.step("iron_soluble", "east")["status"] == "done"
    assert second.day("iron_soluble", "east") == promised
    east = second.plan.steps[second.plan.steps["zone_id"] == "east"]
    before = told.plan.steps[told.plan.steps["zone_id"] == "east"]
    assert list(east["day"]) == list(before["day"])


def copy(scenarios, name, tmp_path):
    """Return a copy of a scenario beside the shared depot."""
    depot = tmp_path / "scenarios"
    shutil.copytree(scenarios, depot, ignore=shutil.ignore_patterns("*.md"))
    return depot / name


def done(folder, zone_id, operations, day):
    """Put work on record as ``lawnmap record`` does."""
    site = open_site(folder).folder
    rows = [
        {"record_id": f"work.{number}", "zone_id": zone_id, "operation": each, "date": str(day)}
        for number, each in enumerate(operations, start=1)
    ]
    site.record.write_bytes(record.with_rows(record.read(site), rows))
