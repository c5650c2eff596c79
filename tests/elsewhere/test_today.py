"""Which day it is: the site's own, on both sides of midnight and where clocks change.

Clocks in London: on 29 March 2026 from 01:00 to 02:00, on 25 October 2026 from 02:00 back to 01:00
(the Summer Time Order 2002: the last Sundays, at 01:00 Greenwich time).
"""

import datetime as dt
import json
import time
from dataclasses import replace
from zoneinfo import ZoneInfo

import icalendar
import pytest

from lawnmap.cli.main import run
from lawnmap.exports.gis import calendar
from lawnmap.jobs import today
from lawnmap.jobs.start import start
from tests.exports.papers import dated, paper

LONDON = ZoneInfo("Europe/London")
ELSEWHERE = ("Pacific/Kiritimati", "Pacific/Niue", "Europe/London", "UTC")


@pytest.fixture(params=ELSEWHERE)
def machine(request, monkeypatch):
    """Put this machine into a time zone."""
    monkeypatch.setenv("TZ", request.param)
    time.tzset()
    yield request.param
    monkeypatch.undo()
    time.tzset()


@pytest.fixture
def garden(tmp_path):
    def make(zone):
        folder = tmp_path / zone.replace("/", "-")
        start(folder, title="Back garden", timezone=zone)
        return folder

    return make


def at(monkeypatch, moment):
    monkeypatch.setattr(today, "now", lambda: dt.datetime.fromisoformat(moment))


DAYS = [
    # Kiritimati is 14 hours ahead of Greenwich, Niue 11 behind: 25 hours, never one day.
    ("2026-09-07T09:59:59+00:00", "Pacific/Kiritimati", "2026-09-07"),
    ("2026-09-07T10:00:00+00:00", "Pacific/Kiritimati", "2026-09-08"),
    ("2026-09-07T10:59:59+00:00", "Pacific/Niue", "2026-09-06"),
    ("2026-09-07T11:00:00+00:00", "Pacific/Niue", "2026-09-07"),
    # London, both sides of midnight: in winter as Greenwich, in summer an hour before it.
    ("2026-03-28T23:59:59+00:00", "Europe/London", "2026-03-28"),
    ("2026-03-29T00:00:00+00:00", "Europe/London", "2026-03-29"),
    ("2026-03-29T22:59:59+00:00", "Europe/London", "2026-03-29"),
    ("2026-03-29T23:00:00+00:00", "Europe/London", "2026-03-30"),
    ("2026-10-24T22:59:59+00:00", "Europe/London", "2026-10-24"),
    ("2026-10-24T23:00:00+00:00", "Europe/London", "2026-10-25"),
    ("2026-10-25T23:59:59+00:00", "Europe/London", "2026-10-25"),
    ("2026-10-26T00:00:00+00:00", "Europe/London", "2026-10-26"),
]


def test_the_zone_of_the_site_says_the_day(machine, garden, monkeypatch):
    sites = {zone: garden(zone) for zone in sorted({zone for _, zone, _ in DAYS})}
    for moment, zone, day in DAYS:
        at(monkeypatch, moment)
        for where in (sites[zone], sites[zone] / "site.geojson"):
            assert today.today(where) == dt.date.fromisoformat(day), (moment, zone)


def test_an_hour_that_is_not_there_and_one_that_is_there_twice(machine, garden, monkeypatch):
    site = garden("Europe/London")
    gone = dt.datetime(2026, 3, 29, 1, 30, tzinfo=LONDON)  # no clock in London shows it
    at(monkeypatch, gone.isoformat())
    assert today.today(site) == dt.date(2026, 3, 29)
    for fold in (0, 1):
        twice = dt.datetime(2026, 10, 25, 1, 30, tzinfo=LONDON, fold=fold)
        at(monkeypatch, twice.isoformat())
        assert today.today(site) == dt.date(2026, 10, 25)


@pytest.mark.parametrize(
    "where",
    [
        "none",
        "a folder",
        "-",
        "UTC",
        "unknown",
        "../../../etc/passwd",
        "a number",
        "damaged",
        "NUL",
    ],
)
def test_without_a_zone_it_is_the_day_of_this_machine(
    where, machine, garden, tmp_path, monkeypatch
):
    at(monkeypatch, "2026-09-07T10:30:00+00:00")
    here = {
        "Pacific/Kiritimati": "2026-09-08", "Pacific/Niue": "2026-09-06",
        "Europe/London": "2026-09-07", "UTC": "2026-09-07",
    }[machine]  # fmt: skip
    zones = {"unknown": "Moon/Crater", "a number": 7, "../../../etc/passwd": where}
    given = {"none": None, "a folder": tmp_path, "-": "-", "\0": "a\0b"}.get(where, "site")
    if given == "site":
        given = garden("UTC")
        text = (given / "site.geojson").read_text("utf-8")
        if where in zones:
            assert '"timezone":"UTC"' in text
            text = text.replace('"timezone":"UTC"', f'"timezone":{json.dumps(zones[where])}')
        (given / "site.geojson").write_text(text[:40] if where == "damaged" else text, "utf-8")
    assert today.today(given) == dt.date.fromisoformat(here)


def said(capsys, *arguments):
    with pytest.raises(SystemExit) as left:
        run([str(each) for each in arguments])
    told = capsys.readouterr().out
    assert left.value.code == 0
    return json.loads(told)["result"] if "--json" in arguments else told


def test_commands_ask_the_site_unless_a_day_is_given(machine, garden, monkeypatch, capsys):
    site = garden("Pacific/Kiritimati")
    at(monkeypatch, "2026-09-07T10:30:00+00:00")
    assert said(capsys, "plan", "--json", "-q", site)["today"] == "2026-09-08"
    assert said(capsys, "plan", site, "-q", "--json", "--today", "2026-03-29")["today"] == (
        "2026-03-29"
    )


@pytest.mark.parametrize("day", ["2026-03-29", "2026-10-25", "2027-03-28", "2027-10-31"])
def test_an_event_stays_on_its_day_where_clocks_change(day, machine):
    """Read back by icalendar, a package that is not ours: all-day dates have no zone to move in."""
    wanted = dt.date.fromisoformat(day)
    made = dated(paper())
    steps = made.plan.steps
    first = dt.date(2027, 8, 23)
    moved = {
        name: [
            str(dt.date.fromisoformat(cell) + (wanted - first)) if isinstance(cell, str) else cell
            for cell in steps[name]
        ]
        for name in ("day", "day_last")
    }
    made = made.of(plan=replace(made.plan, steps=steps.assign(**moved)))
    events = icalendar.Calendar.from_ical(calendar.render(made)).walk("VEVENT")
    visits = [each for each in events if "Keep off" not in each["SUMMARY"]]
    assert [each.start for each in visits] == [
        wanted, wanted + dt.timedelta(1), wanted + dt.timedelta(7)
    ]  # fmt: skip
    for each in events:
        assert type(each.start) is dt.date
        assert each["DTSTART"].to_ical().decode() == f"{each.start:%Y%m%d}"
        assert "TZID" not in each["DTSTART"].params
    assert all(each.end - each.start == dt.timedelta(1) for each in visits)
