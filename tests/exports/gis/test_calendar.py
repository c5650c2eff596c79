"""The calendar, read back by the package icalendar, which is not ours (RFC 5545)."""

import datetime as dt
from dataclasses import replace

import icalendar
import pytest

from lawnmap.errors import InputRefused
from lawnmap.exports.gis import calendar
from lawnmap.exports.gis.ics import Event, document, escaped, folded
from tests.exports.names import HOSTILE
from tests.exports.papers import dated, paper

MADE = dt.date(2027, 8, 2)


def events(data):
    return icalendar.Calendar.from_ical(data).walk("VEVENT")


def moved(made, days, operation="scarifying"):
    """Return the plan with one kind of work put off."""
    steps = made.plan.steps
    here = steps["operation"] == operation
    later = {
        name: [
            str(dt.date.fromisoformat(cell) + dt.timedelta(days))
            if isinstance(cell, str) and mine
            else cell
            for cell, mine in zip(steps[name], here, strict=True)
        ]
        for name in ("day", "day_last")
    }
    return made.of(plan=replace(made.plan, steps=steps.assign(**later)))


def test_an_event_a_day_of_work_and_one_for_what_is_closed():
    found = events(calendar.render(dated(paper())))
    work = [
        each for each in found if each["TRANSP"] == "TRANSPARENT" and "Keep" not in each["SUMMARY"]
    ]
    assert [each.start for each in work] == [dt.date(2027, 8, day) for day in (23, 24, 30)]
    assert [each.end for each in work] == [dt.date(2027, 8, day) for day in (24, 25, 31)]
    first, _, last = (each["SUMMARY"] for each in work)
    assert first == "Hollin Court: Scarifying, Clearing the arisings"
    assert last == "Hollin Court: Iron, dissolved, Overseeding, Feeding"
    closed = [each for each in found if each["SUMMARY"].startswith("Keep off: ")]
    assert [each["DESCRIPTION"].split("\n")[0] for each in closed] == [
        "The grass is dry.",
        "The new grass was cut once.",
    ]
    assert "Great lawn" in closed[1]["SUMMARY"]


def test_a_crew_is_taken_that_day_and_nobody_else():
    for audience, shown in (("crew", "OPAQUE"), ("client", "TRANSPARENT")):
        found = events(calendar.render(dated(paper(audience=audience))))
        assert {e["TRANSP"] for e in found if "Keep" not in e["SUMMARY"]} == {shown}
        assert {e["TRANSP"] for e in found if "Keep" in e["SUMMARY"]} == {"TRANSPARENT"}


def test_new_grass_is_closed_to_the_day_of_its_first_cut():
    made = dated(paper())
    steps = made.plan.steps
    cut = steps[steps["operation"] == "top_dressing"].index
    steps = steps.copy()
    steps.loc[cut, ["operation", "status", "day"]] = ["first_cut", "do", "2027-09-27"]
    found = events(calendar.render(made.of(plan=replace(made.plan, steps=steps))))
    (seed,) = (each for each in found if each.get("DESCRIPTION", "").startswith("The new grass"))
    assert (seed.start, seed.end) == (dt.date(2027, 8, 30), dt.date(2027, 9, 28))


def test_what_is_only_priced_or_may_not_go_on_closes_nothing_and_says_so():
    found = events(calendar.render(dated(paper())))
    (on,) = (
        each
        for each in found
        if each.start == dt.date(2027, 8, 30) and "Keep" not in each["SUMMARY"]
    )
    lines = on["DESCRIPTION"].split("\n")
    (pond,) = (each for each in lines if "Pond bank" in each)
    assert "Iron, dissolved (not set: do not apply)" in pond
    assert "Feeding (for pricing only)" in pond
    iron = next(e for e in found if e["DESCRIPTION"].startswith("The grass is dry"))
    assert "Pond bank" not in iron["SUMMARY"]


def test_an_event_keeps_its_name_when_its_day_moves_and_another_gets_another():
    made = dated(paper(header={"site_id": "0123456789abcdef", "revision": 4}))
    before = {each["UID"]: each for each in events(calendar.render(made))}
    later = made.plan.site.with_header(revision=7)
    again = moved(moved(made.of(plan=replace(made.plan, site=later)), 2), 2, "clearing")
    after = {each["UID"]: each for each in events(calendar.render(again))}
    assert len(before) == 5
    assert set(after) == set(before)
    days = {uid: (before[uid].start, after[uid].start) for uid in before}
    assert sum(old != new for old, new in days.values()) == 2
    assert {each["SEQUENCE"] for each in before.values()} == {4}
    assert {each["SEQUENCE"] for each in after.values()} == {7}
    elsewhere = dated(paper(header={"site_id": "fedcba9876543210"}))
    assert not set(before) & {each["UID"] for each in events(calendar.render(elsewhere))}


def test_it_stands_on_the_day_it_was_worked_out_for_and_on_no_clock():
    made = dated(paper())
    data = calendar.render(made)
    assert calendar.render(made) == data
    stamps = {each["DTSTAMP"].dt for each in events(data)}
    assert stamps == {dt.datetime(2027, 8, 2, tzinfo=dt.UTC)}


def test_it_tells_no_position():
    made = dated(paper())
    data = calendar.render(made).decode()
    assert "GEO" not in data
    assert {each["LOCATION"] for each in events(data)} == {"Hollin Court"}


def test_without_a_day_there_is_no_calendar():
    with pytest.raises(InputRefused, match="no days yet"):
        calendar.render(paper())


@pytest.mark.parametrize(
    "text", [*HOSTILE, "a;b,c\\d\\n:\r\ne\nf\tg", "\u00e9" * 40, "🌱" * 60, "a" * 74]
)
def test_any_text_comes_back_as_it_was(text):
    typed = text.replace("\r\n", "\n")
    event = Event("k", MADE, MADE, text, description=text, location=text)
    data = document([event], title=text, revision=0, made=MADE)
    (found,) = events(data)
    assert [str(found[name]) for name in ("SUMMARY", "DESCRIPTION", "LOCATION")] == [typed] * 3
    lines = data.split(b"\r\n")
    assert max(map(len, lines)) <= 75
    assert all(line.decode("utf-8") is not None for line in lines)  # no character is cut in two
    assert b"\n" not in b"".join(lines)
    assert b"\r" not in b"".join(lines)


def test_a_line_of_75_octets_is_whole_and_one_more_is_folded():
    assert folded("x" * 75) == "x" * 75 + "\r\n"
    assert folded("x" * 76) == "x" * 75 + "\r\n x\r\n"
    assert folded("x" * 74 + "é") == "x" * 74 + "\r\n é\r\n"


def test_what_no_text_may_hold_is_dropped():
    assert escaped("a\x00b\x07c\x1bd") == "abcd"
