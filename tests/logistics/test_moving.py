"""Why a promised day is not kept: what lies behind it, not the nearest wait."""

import datetime as dt

from lawnmap.logistics.checking import broken
from lawnmap.logistics.dates import dates
from lawnmap.logistics.work import Closed, Crew, Step, Wait, Window, Work

FIRST = dt.date(2026, 9, 1)


def day(number):
    return FIRST + dt.timedelta(days=number)


def lawn(zone="a", hours=1.0):
    return (
        Step(f"{zone}.iron", zone, "iron", hours),
        Step(f"{zone}.blades", zone, "blades", hours, after=(Wait(f"{zone}.iron", 14, 21),)),
        Step(f"{zone}.seed", zone, "seed", hours, after=(Wait(f"{zone}.blades", 0, 7),)),
    )


def reasons(steps, promised, closed=(), hours=8.0):
    work = Work(
        tuple(steps), FIRST, day(60), Crew(1, hours), closed=closed,
        promised={key: day(number) for key, number in promised.items()},
    )  # fmt: skip
    found = dates(work)
    assert not broken(work, found)
    return {each.step.id: each.why for each in found.moved}


def rain(number):
    return Closed(day(number), day(number), "rain")


def test_rain_on_the_first_step_is_behind_all_that_follow():
    why = reasons(lawn(), {"a.iron": 2, "a.blades": 16, "a.seed": 16}, (rain(2), rain(1), rain(0)))
    rained = "could not be on 2026-09-03: closed: rain"
    assert why["a.iron"] == "closed: rain"
    assert why["a.blades"] == f"it is not yet 14 days after iron on a, which {rained}"
    assert why["a.seed"] == f"blades on a comes before it, since iron on a {rained}"


def test_a_later_step_that_is_shut_out_pulls_the_first_along():
    """Blades at most 21 days after iron, and shut for longer than the slack: iron goes later."""
    shut = Closed(day(16), day(30), "match")
    why = reasons(lawn(), {"a.iron": 2, "a.blades": 16}, (shut,))
    assert why["a.iron"] == (
        "blades on a, which comes after it, could not be on 2026-09-17: closed: match"
    )
    assert why["a.blades"] == "closed: match"


def test_what_rolls_on_from_a_rained_off_day_takes_the_place():
    """Both fill a day, and the season of what was rained off ends on the other's."""
    season = (Window(day(0), day(3)),)
    steps = [
        Step("a", "a", "iron", 8, windows=season), Step("c", "c", "iron", 8, windows=season),
        Step("b", "b", "mowing", 8),
    ]  # fmt: skip
    why = reasons(steps, {"a": 2, "b": 3, "c": 1}, (rain(0), rain(2)))
    assert why["b"] == "its place goes to what could not be on 2026-09-03 (closed: rain): iron on a"


def test_the_record_is_named_with_its_day():
    work = Work(
        lawn(), FIRST, day(60), Crew(1, 8), done={"a.iron": day(-3)},
        promised={"a.blades": day(9)},
    )  # fmt: skip
    assert dates(work).moved[0].why == ("it is not yet 14 days after iron on a, done on 2026-08-29")


def test_a_day_taken_out_of_its_season_is_not_called_out_of_season():
    holes = (Window(day(0), day(1)), Window(day(4), day(9)))
    step = Step("a", "a", "iron", 1, windows=holes)
    why = reasons([step], {"a": 2})
    assert why["a"] == "the weather, or when the zone is open, takes that day out of its season"
    assert reasons([step], {"a": 30})["a"] == "that day is outside its season"
