"""What would have to give way, for a job of several days as for one of a day."""

import datetime as dt

from lawnmap.logistics.dates import dates
from lawnmap.logistics.work import Crew, Step, Wait, Window, Work

FIRST = dt.date(2026, 8, 24)
SEASON = (Window(FIRST, FIRST + dt.timedelta(days=9)),)
IRON = Step("iron", "park", "iron", 2)


def blades(number, *after):
    return Step(f"blades/{number}", "park", "scarifying", 6, after=after, windows=SEASON)


def job(*steps):
    return Work(steps=steps, first=FIRST, last=FIRST + dt.timedelta(days=300), crew=Crew(1, 7.0))


LONG = job(
    IRON,
    blades(1, Wait("iron", 14)),
    blades(2, Wait("blades/1", 1, 7)),
)


def test_the_season_of_a_long_job_gives_way_as_a_whole():
    """A day of it alone would not help: both lie past the season, 14 days after the iron."""
    (undated,) = dates(LONG).undated
    ends = f"{SEASON[0].first} to {SEASON[0].last}"
    assert f"the season of scarifying on park ({ends})" in undated.sentence
    assert undated.sentence.count("the season of") == 1


def test_without_the_reasons_the_days_are_the_same():
    plain, told = dates(LONG, told=False), dates(LONG)
    assert plain.dated == told.dated
    assert [each.steps for each in plain.undated] == [each.steps for each in told.undated]
    assert {each.sentence for each in plain.undated} == {""}


def test_more_time_for_the_job_is_named_too():
    late = job(IRON, blades(1, Wait("iron", 9)), blades(2, Wait("blades/1", 1, 7)))
    (undated,) = dates(late).undated
    assert "the wait of at least 9 days from iron on park to scarifying on park" in undated.sentence
