"""The sites of a depot share one crew; other depots and sites alone do not."""

import datetime as dt
import logging
import math
from collections import defaultdict

import pytest

from lawnmap.jobs.sites import joint as module
from lawnmap.jobs.sites.joint import joint
from lawnmap.logistics.work import EVERY_DAY, Crew, Machine, Step, Work
from lawnmap.processing.days.prepared import Prepared

FIRST, LAST = dt.date(2026, 9, 1), dt.date(2026, 10, 31)
HOURS = 5.0


def work(site, *, steps=1):
    """One site with so many lawns, each half a day of one person with the one machine."""
    made = tuple(
        Step(f"z{number} scarifying 1", f"z{number}", "scarifying", HOURS, "petrol scarifier")
        for number in range(steps)
    )
    machines = {"petrol scarifier": Machine(1, 7.0)}
    one = Work(made, FIRST, LAST, Crew(1, 7.0), machines, weekdays=EVERY_DAY)
    return Prepared(site, one).json()


def test_one_crew_is_nowhere_twice_on_a_day():
    sites = {f"s{number}": ("north", "south")[number % 2] for number in range(8)}
    found = joint((depot, work(site, steps=2)) for site, depot in sites.items())
    days = defaultdict(list)
    for (site, *_), day in found.days.items():
        days[sites[site], day].append(HOURS)
    assert len(found.days) == 16
    assert max(map(math.fsum, days.values())) <= 7.0
    # Two crews: both work on the first day, and each machine is out on eight days.
    assert {day for _, day in days} == {str(FIRST + dt.timedelta(each)) for each in range(8)}
    assert sorted(found.out) == [
        (depot, "petrol scarifier", str(FIRST + dt.timedelta(each)))
        for depot in ("north", "south")
        for each in range(8)
    ]
    assert all(each["visits"] == 2 for each in found.sites.values())


def test_a_site_alone_keeps_the_days_of_its_own_plan():
    heard = []
    found = joint(
        [("north", work("a")), ("south", work("b")), ("south", work("c", steps=0))],
        lambda *told: heard.append(told),
    )
    assert (len(found.days), found.sites, found.out, found.told, heard) == (0, {}, [], [], [])


def test_a_depot_with_too_much_work_is_told_and_stops_no_other(monkeypatch):
    monkeypatch.setattr(module, "MOST", 3)
    works = [("big", work("a", steps=3)), ("big", work("b")), ("", work("c")), ("", work("d"))]
    found = joint(works)
    assert set(found.sites) == {"c", "d"}
    assert found.told[0].startswith("Sites without a depot: 2 sites together")
    assert found.told[1] == (
        "Depot big: 4 steps are too many to find days for together: each site has days as if it "
        "were alone."
    )


def test_a_fault_in_the_days_of_a_depot_is_noted_and_stops_nothing(monkeypatch, caplog):
    def failing(_):
        raise ZeroDivisionError

    monkeypatch.setattr(module, "across", failing)
    with caplog.at_level(logging.ERROR, logger="lawnmap"):
        found = joint([("north", work("a")), ("north", work("b"))])
    assert found.sites == {}
    assert "a fault in lawnmap, noted in its log" in found.told[0]
    assert caplog.records[0].exc_info[0] is ZeroDivisionError


@pytest.mark.parametrize("order", [1, -1])
def test_the_order_of_sites_makes_no_difference(order):
    works = [("north", work(f"s{number}", steps=1 + number % 3)) for number in range(5)]
    found = joint(works[::order])
    assert found.days.sort_index().equals(joint(works).days.sort_index())
    assert found.told == joint(works).told
