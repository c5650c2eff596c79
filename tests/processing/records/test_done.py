"""What is on record is not planned again."""

import datetime as dt

import pytest

from lawnmap.processing.records.done import counted_from, done, past, remembered, told_before
from lawnmap.schema import DO, DONE

TODAY = dt.date(2026, 10, 1)


def row(operation, date, zone="a", **more):
    return {"record_id": f"{operation} {date}", "zone_id": zone, "operation": operation,
            "date": date, **more}  # fmt: skip


@pytest.fixture
def worked(lawn):
    return lawn.work(lawn.zones({}, {}), lawn.choices(lawn.iron))


def statuses(steps, zone="a"):
    own = steps[steps["zone_id"] == zone]
    return dict(zip(own["operation"], own["status"], strict=True))


def test_a_step_on_record_is_done_on_its_day(worked):
    marked = done(worked.steps, [row("raking", "2026-09-20")], since=None)
    own = marked.steps[marked.steps["operation"] == "raking"].set_index("zone_id")
    assert own.loc["a", "status"] == DONE
    assert own.loc["a", "day"] == "2026-09-20"
    assert own.loc["b", "status"] == DO
    assert marked.left == ()


def test_what_was_done_before_the_survey_is_another_season(worked):
    old = row("raking", "2025-09-20")
    marked = done(worked.steps, [old], since=dt.date(2026, 8, 1))
    assert statuses(marked.steps)["raking"] == DO
    assert marked.left == (old,)


def test_more_on_record_than_planned_is_left_over_for_the_waits(worked):
    twice = [row("raking", "2026-09-20"), row("raking", "2026-09-22"), row("lime", "2026-09-23")]
    marked = done(worked.steps, twice, since=None)
    assert [each["date"] for each in marked.left] == ["2026-09-22", "2026-09-23"]


def test_what_was_taken_back_or_is_still_to_come_does_not_count(lawn):
    record = [
        row("raking", "2026-09-20"),
        {"record_id": "x", "cancels": "raking 2026-09-20", "operation": "", "date": "2026-09-21"},
        row("mowing", "2026-12-01"),
        row("mowing", "2026-09-30", zone="nobody"),
    ]
    zones = lawn.zones({}).assign(came_from="")
    found = past(record, zones, TODAY)
    assert found.rows == ()
    assert "has not come yet" in " ".join(found.doubts)
    assert "there is no zone 'nobody'" in " ".join(found.doubts)


def test_the_day_of_sowing_comes_from_the_record(lawn):
    zones = lawn.zones({"sown_last": "2026-03-01"}, {"sown_last": "2026-09-25"})
    rows = [row("overseeding", "2026-09-20"), row("overseeding", "2026-09-20", zone="b")]
    known = remembered(zones, rows)
    assert list(known["sown_last"]) == ["2026-09-20", "2026-09-25"]


def test_a_part_that_is_done_leaves_the_rest_to_be_done(worked):
    half = [row("raking", "2026-09-20", area_m2="60")]  # of 180 m²
    marked = done(worked.steps, half, since=None)
    whole = worked.steps.query("zone_id == 'a' and operation == 'raking'").iloc[0]
    rest = marked.steps.query("zone_id == 'a' and operation == 'raking'").iloc[0]
    assert rest["status"] == DO
    assert rest["area_m2"] == pytest.approx(120)
    assert rest["hours"] == pytest.approx(whole["hours"] * 120 / 180)
    assert "60 of 180 m² done by 2026-09-20" in rest["remark"]
    assert [each["date"] for each in marked.left] == ["2026-09-20"]
    both = [*half, row("raking", "2026-09-21", area_m2="115")]
    marked = done(worked.steps, both, since=None)
    assert statuses(marked.steps)["raking"] == DONE
    assert marked.left == ()


def test_what_was_done_is_done_whatever_would_be_allowed_now(worked):
    """Iron on record stays so when seed that was sown since forbids more of it."""
    stopped = worked.steps.assign(
        status=worked.steps["status"].where(
            worked.steps["operation"] != "iron_soluble", "not set: do not apply"
        )
    )
    marked = done(stopped, [row("iron_soluble", "2026-09-01")], since=None)
    assert statuses(marked.steps)["iron_soluble"] == DONE
    assert statuses(marked.steps, "b")["iron_soluble"] == "not set: do not apply"


def test_mowing_that_was_never_noted_is_not_planned_behind_the_blades(worked):
    marked = done(worked.steps, [row("raking", "2026-09-20")], since=None)
    assert statuses(marked.steps)["mowing"] == "not needed"
    assert statuses(marked.steps, "b")["mowing"] == DO


def test_last_years_work_is_another_season(lawn):
    choices = lawn.choices(lawn.iron, first_day=dt.date(2027, 8, 15))
    assert counted_from(None, choices, TODAY) == dt.date(2026, 10, 19)
    assert counted_from(dt.date(2025, 8, 1), choices, TODAY) == dt.date(2026, 10, 19)
    assert counted_from(dt.date(2027, 8, 1), choices, TODAY) == dt.date(2027, 8, 1)


def test_without_a_first_day_a_season_counts_back_from_today(lawn):
    assert counted_from(None, lawn.choices(lawn.iron), TODAY) == dt.date(2025, 12, 5)


def test_work_shortly_before_the_survey_is_told():
    surveyed = dt.date(2026, 9, 2)
    told = told_before([row("raking", "2026-08-18")], surveyed, surveyed)
    assert "1 rows are from before the survey of 2026-09-02" in told[0]
    assert told_before([row("raking", "2024-08-18")], surveyed, surveyed) == ()
    assert told_before([row("raking", "2026-09-18")], surveyed, surveyed) == ()
