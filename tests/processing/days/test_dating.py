"""Days for the steps of a plan."""

import datetime as dt
from dataclasses import replace

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lawnmap.days import Calendar
from lawnmap.logistics.work import WEEKDAYS, Closed, Window
from lawnmap.model import Machine
from lawnmap.processing.days.dating import dating
from lawnmap.processing.records.done import done
from lawnmap.schema import DONE

FIRST = dt.date(2027, 3, 1)
PETROL = Machine(
    "petrol", "petrol", width_m=0.38, speed_km_h=3.0, field_efficiency=0.7, hire_a_day=60.0
)


def dated(worked, choices, calendar=None, **more):
    steps, dates = dating(worked.steps, choices, calendar or Calendar(), **more)
    return steps, dates


def on(steps, operation, zone="a", column="day"):
    found = steps[(steps["zone_id"] == zone) & (steps["operation"] == operation)]
    return found[column].iloc[0]


def day(text):
    return dt.date.fromisoformat(text)


@pytest.fixture
def choices(lawn):
    return lawn.choices(lawn.iron, first_day=FIRST, last_day=dt.date(2028, 2, 28))


@pytest.fixture
def worked(lawn, choices):
    return lawn.work(lawn.zones({}, {}), choices)


def test_waits_are_kept(worked, choices):
    steps, dates = dated(worked, choices)
    iron, rake, seed = (day(on(steps, each)) for each in ("iron_soluble", "raking", "overseeding"))
    assert iron >= FIRST
    assert (rake - iron).days >= 7  # the label's, on the card of the tests, or 14 at usual
    assert (seed - iron).days >= 28
    assert on(steps, "clearing") == on(steps, "raking")
    assert set(dates.visits) >= {iron, rake, seed}
    assert "visit days" in dates.told[0]


def test_both_zones_share_their_days(worked, choices):
    _, two = dated(worked, choices)
    one = worked.steps[worked.steps["zone_id"] == "a"].reset_index(drop=True)
    _, alone = dating(one, choices, Calendar())
    assert len(two.visits) < 2 * len(alone.visits)


def test_closed_days_are_hard_and_only_for_their_zone(worked, choices):
    steps, _ = dated(worked, choices)
    first = day(on(steps, "iron_soluble"))
    shut = Closed(FIRST, first + dt.timedelta(days=30), "exams", frozenset("a"))
    moved, _ = dated(worked, choices, Calendar(closed=(shut,)))
    assert day(on(moved, "iron_soluble")) > shut.last


def test_only_open_days_are_used(worked, choices):
    summer = Window(FIRST, FIRST + dt.timedelta(days=100))
    steps, _ = dated(worked, choices, Calendar(open_only={"a": (summer,)}))
    own = steps[(steps["zone_id"] == "a") & (steps["day"] != "")]
    assert all(summer.first <= day(each) <= summer.last for each in own["day"])


def test_what_is_done_stays_and_the_waits_count_from_it(worked, choices):
    record = {"zone_id": "a", "operation": "iron_soluble", "date": "2027-02-24", "product": ""}
    marked = done(worked.steps, [record], since=None)
    steps, dates = dating(marked.steps, choices, Calendar(record=marked.left))
    assert on(steps, "iron_soluble", column="status") == DONE
    assert on(steps, "iron_soluble") == "2027-02-24"
    assert (day(on(steps, "raking")) - dt.date(2027, 2, 24)).days >= 7
    assert dt.date(2027, 2, 24) not in dates.visits


def test_a_longest_wait_from_the_record_is_kept_or_told(worked, choices):
    """Blades at most 21 days after iron (common practice), whatever else waits."""
    record = {"zone_id": "a", "operation": "iron_soluble", "date": "2027-02-24", "product": ""}
    marked = done(worked.steps, [record], since=None)
    steps, dates = dating(marked.steps, choices, Calendar(record=marked.left))
    assert day(on(steps, "raking")) <= dt.date(2027, 2, 24) + dt.timedelta(days=21)
    assert not any("cannot be had any more" in each for each in dates.told)
    exams = Closed(FIRST, dt.date(2027, 3, 31), "exams")
    steps, dates = dating(marked.steps, choices, Calendar(record=marked.left, closed=(exams,)))
    assert on(steps, "raking") == "2027-04-02"  # mown the day before
    why = on(steps, "raking", column="day_why")
    assert "37 days after iron soluble on a, done on 2027-02-24" in why
    assert why in dates.told


def test_iron_of_last_season_still_keeps_seed_away(lawn):
    """The wait from iron to seed is counted from the record, whatever is planned now."""
    without = lawn.choices(lawn.iron, first_day=FIRST, iron="not on this site")
    worked = lawn.work(lawn.zones({}), without)
    late = {"zone_id": "a", "operation": "iron_soluble", "date": "2027-02-20", "product": "Iron"}
    steps, _ = dating(worked.steps, without, Calendar(record=(late,)))
    assert (day(on(steps, "overseeding")) - dt.date(2027, 2, 20)).days >= 42


def test_an_application_if_needed_puts_nothing_off_until_it_is_on_record(lawn):
    card = lawn.card(most_doses_a_year=2, least_days_between=28)
    found = lawn.choices(card, first_day=FIRST)
    worked = lawn.work(lawn.zones({"moss_rating": 5}), found)
    steps, _ = dated(worked, found)
    first, second = steps[steps["operation"] == "iron_soluble"].to_dict("records")
    assert second["day"] == ""
    assert "still green" in second["day_why"]
    seed = day(on(steps, "overseeding"))
    assert (seed - day(first["day"])).days >= 28
    record = [
        {"zone_id": "a", "operation": "iron_soluble", "date": each, "product": "Moss iron"}
        for each in (first["day"], (day(first["day"]) + dt.timedelta(days=28)).isoformat())
    ]
    marked = done(worked.steps, record, since=None)
    again, _ = dating(marked.steps, found, Calendar(record=marked.left))
    assert (day(on(again, "overseeding")) - day(record[1]["date"])).days >= 28


def test_no_season_is_skipped_for_the_sake_of_a_visit(worked, choices):
    """Seed may be sown in two seasons; the zone that waits until the second would save a visit."""
    early = (FIRST + dt.timedelta(days=42), FIRST + dt.timedelta(days=80))
    late = (FIRST + dt.timedelta(days=200), FIRST + dt.timedelta(days=260))
    seed = worked.steps["operation"] == "overseeding"
    other = worked.steps["zone_id"] == "b"
    windows = [
        (((late,) if second else (early, late)) if sown else None)
        for sown, second in zip(seed, other, strict=True)
    ]
    steps, _ = dated(worked, choices, windows=windows)
    assert early[0] <= day(on(steps, "overseeding")) <= early[1]
    assert late[0] <= day(on(steps, "overseeding", "b")) <= late[1]


def test_a_promised_day_is_kept_and_a_moved_one_is_told(worked, choices):
    wanted = {("a", "iron_soluble", 1): dt.date(2027, 3, 20)}
    kept, told = dated(worked, choices, Calendar(promised=wanted))
    assert on(kept, "iron_soluble") == "2027-03-20"
    assert "0 promised dates moved" in told.told[0]
    rain = Closed(dt.date(2027, 3, 20), dt.date(2027, 3, 20), "rain")
    moved, told = dated(worked, choices, Calendar(promised=wanted, closed=(rain,)))
    assert on(moved, "iron_soluble") != "2027-03-20"
    assert "promised for 2027-03-20" in on(moved, "iron_soluble", column="day_why")
    assert any("rain" in each for each in told.told)


def test_the_head_of_a_job_has_days_when_its_tail_finds_none(lawn):
    short = lawn.choices(lawn.iron, first_day=FIRST, last_day=FIRST + dt.timedelta(days=20))
    worked = lawn.work(lawn.zones({}), short)
    steps, dates = dating(worked.steps, short, Calendar())
    assert on(steps, "iron_soluble") != ""
    assert on(steps, "overseeding") == ""
    why = on(steps, "overseeding", column="day_why")
    assert "finds no date" in why
    assert "must give way" in why
    assert why in dates.told


def test_a_season_without_a_day_is_told(worked, choices):
    windows = [() if each == "overseeding" else None for each in worked.steps["operation"]]
    steps, dates = dated(worked, choices, windows=windows)
    assert on(steps, "overseeding") == ""
    assert on(steps, "raking") != ""
    assert dates.told


def test_the_hired_machine_is_out_on_few_days(lawn):
    zones = lawn.zones(*({"ground_area_m2": 900.0} for _ in range(4)))

    def hired(people):
        crew = {"people": people, "hours_a_day": 7.0, "hours_planned": "middle"}
        found = lawn.choices(own=[PETROL], first_day=FIRST, crew=crew)
        return dating(lawn.work(zones, found).steps, found, Calendar())[1]

    many, alone = hired(20), hired(1)
    assert len(many.hire) < 4
    assert not any("hired for" in each for each in many.told)
    assert any(f"petrol: hired for {len(alone.hire)} days" in each for each in alone.told)
    assert len(alone.hire) > len(many.hire)


def test_vibration_caps_the_hours_of_one_person(lawn):
    """HSE's ready reckoner: 5 m/s² for 8 h is 400 points, the limit; 10 m/s² gets there in 2 h."""
    crew = {"people": 1, "hours_a_day": 8.0, "hours_planned": "most"}
    zones = lawn.zones({"ground_area_m2": 3000.0})

    def days(vibration):
        machine = replace(PETROL, vibration_m_s2=vibration)
        found = lawn.choices(own=[machine], first_day=FIRST, crew=crew)
        steps = lawn.work(zones, found).steps.assign(hours=lambda rows: rows["hours"].clip(upper=4))
        return dating(steps, found, Calendar())[0]

    assert on(days(None), "scarifying", column="days") == 1
    assert on(days(20.0), "scarifying", column="days") > 1


def test_the_last_day_before_the_first_is_told(worked, choices):
    early = replace(choices, choices={**choices.choices, "last_day": dt.date(2027, 2, 1)})
    steps, dates = dated(worked, early)
    assert "is before" in dates.told[0]
    assert set(steps["day"]) == {""}


def test_the_same_work_has_the_same_days(worked, choices):
    pd.testing.assert_frame_equal(dated(worked, choices)[0], dated(worked, choices)[0])


@settings(max_examples=25)
@given(
    st.lists(st.sampled_from(range(7)), min_size=1, max_size=7, unique=True),
    st.integers(1, 3),
    st.floats(3, 10),
    st.integers(0, 300),
)
def test_no_rule_is_ever_broken(lawn, weekdays, people, hours, length):
    """The second checker inside the step raises when a rule is broken; this asks it often."""
    names = [WEEKDAYS[each] for each in weekdays]
    crew = {"people": people, "hours_a_day": hours, "hours_planned": "most"}
    last = FIRST + dt.timedelta(days=length)
    found = lawn.choices(lawn.iron, first_day=FIRST, last_day=last, weekdays=names, crew=crew)
    worked = lawn.work(lawn.zones({}, {"moss_rating": 5}), found)
    steps, _ = dating(worked.steps, found, Calendar())
    placed = [day(each) for each in steps["day"] if each]
    assert all(FIRST <= each <= last and each.weekday() in weekdays for each in placed)
    own = steps[steps["zone_id"] == "a"]
    seed, iron = on(own, "overseeding"), on(own, "iron_soluble")
    assert not seed or (day(seed) - day(iron)).days >= 28
