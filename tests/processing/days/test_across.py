"""Days across sites: shared people and machines, and each site's own rules kept."""

import datetime as dt
import json
from collections import Counter
from dataclasses import replace

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lawnmap.days import Calendar
from lawnmap.logistics import search
from lawnmap.logistics.checking import broken
from lawnmap.logistics.work import Closed, Crew, Machine, Step, Wait, Window, Work
from lawnmap.processing.days.across import across, placed
from lawnmap.processing.days.dating import dating
from lawnmap.processing.days.joblist import span
from lawnmap.processing.days.prepared import Prepared, prepared
from lawnmap.processing.days.seasons import seasons
from lawnmap.processing.days.together import parted, together

FIRST = dt.date(2027, 3, 1)  # a Monday
LAST = dt.date(2027, 5, 30)
CREW = Crew(2, 6)
MACHINES = {"scarifier": Machine(1, 5, hired=True), "corer": Machine(2, 4)}
NAMES = ("12 Elm Row", "north/9", "north/9 b", "z%")


def on(number):
    return FIRST + dt.timedelta(days=number)


@st.composite
def sites(draw, name):
    """Return one site of one to three zones: iron, raking with a machine, clearing, seed."""
    steps, done, promised = [], {}, {}
    begin = draw(st.integers(0, 20))
    season = Window(on(begin), on(begin + draw(st.integers(25, 60))))
    for zone in "abc"[: draw(st.integers(1, 3))]:
        iron, rake, clear, seed = (f"{zone} {each} 1" for each in ("iron", "rake", "clear", "seed"))
        hours = st.floats(0.1, 2.5)
        machine = draw(st.sampled_from([None, "scarifier", "corer"]))
        steps += [
            Step(iron, zone, "iron", draw(hours), windows=(season,)),
            Step(rake, zone, "rake", draw(hours), machine, after=(Wait(iron, 7, 14),)),
            Step(clear, zone, "clear", draw(hours), crew=2, after=(Wait(rake, 0, 0),)),
            Step(seed, zone, "seed", draw(hours), after=(Wait(rake, 0, 7), Wait(iron, 10))),
        ]
        if draw(st.booleans()):
            done[iron] = on(-draw(st.integers(0, 9)))
        elif draw(st.booleans()):
            promised[iron] = on(draw(st.integers(0, 40)))
    shut = draw(st.integers(0, 40))
    zones = frozenset(draw(st.sampled_from(["", "a", "b"])))
    return Prepared(
        name,
        Work(
            tuple(steps), on(draw(st.integers(0, 5))), LAST - dt.timedelta(draw(st.integers(0, 9))),
            CREW, MACHINES, (Closed(on(shut), on(shut + 6), "away", zones),),
            frozenset(draw(st.sampled_from([range(5), range(7), (1, 3)]))), done, promised,
        ),
    )  # fmt: skip


MANY = st.tuples(*map(sites, NAMES)).flatmap(
    lambda each: st.permutations(each).map(lambda some: some[:3])
)


@pytest.fixture(autouse=True, scope="module")
def _short_search():
    """Leave small jobs sooner: what is tested holds of any days that are found."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(search, "MOST_TRIES", 200)
        yield


def own_days(found, site):
    """Return what the second checker is asked of one site: its own rules, its own days.

    Longest waits from the record may be past keeping, and are given up then.
    """
    dated = [each for each in found.schedule.dated if each.step.site == site.site]
    late = {
        (parted(each.step.id)[1], parted(wait.before)[1])
        for each in dated
        for wait in each.step.after
        if wait.given_up is not None
    }
    here = {parted(each.step.id)[1] for each in dated}
    steps = {
        step.id: replace(
            step,
            after=tuple(
                replace(wait, most=None) if (step.id, wait.before) in late else wait
                for wait in step.after
            ),
        )
        for step in site.work.steps
        if step.id in here
    }
    days = tuple(replace(each, step=steps[parted(each.step.id)[1]]) for each in dated)
    return (
        replace(site.work, steps=tuple(steps.values()), promised={}),
        replace(found.schedule, dated=days, undated=()),
    )


@settings(max_examples=12, deadline=None)
@given(MANY)
def test_no_rule_is_broken_together_nor_at_any_site(some):
    found = across(some)
    assert broken(found.work, found.schedule) == []
    for each in some:
        assert broken(*own_days(found, each)) == []
    # People and machines are at one place at a time: hours counted from the days alone.
    people = Counter()
    for each in found.schedule.dated:
        people[each.day] += 0 if each.done else each.step.hours * each.step.crew
    assert max(people.values(), default=0) <= CREW.people * CREW.hours + 1e-6
    out = found.machines
    assert not out.duplicated(["machine", "unit", "day"]).any()
    for row in out.itertuples():
        assert row.hours <= MACHINES[row.machine].hours + 1e-6
        assert 1 <= row.unit <= MACHINES[row.machine].count


@settings(max_examples=6, deadline=None)
@given(MANY)
def test_neither_the_order_of_sites_nor_keeping_them_changes_anything(some):
    found = across(some)
    kept = [json.loads(json.dumps(each.json())) for each in reversed(some)]
    again = across(Prepared.of(each) for each in kept)
    pd.testing.assert_frame_equal(found.steps, again.steps)
    pd.testing.assert_frame_equal(found.machines, again.machines)
    pd.testing.assert_frame_equal(found.sites, again.sites)
    assert found.told == again.told


def garden(name, *, hours=1.0, windows=(), machine="scarifier"):
    steps = (
        Step("a iron 1", "a", "iron", hours, windows=windows),
        Step("a rake 1", "a", "rake", hours, machine, after=(Wait("a iron 1", 7, 14),)),
    )
    return Prepared(name, Work(steps, FIRST, LAST, CREW, MACHINES, (), frozenset(range(5))))


def test_one_machine_is_hired_for_as_many_sites_as_fill_its_day():
    found = across([garden(f"garden {number}", hours=1.2) for number in range(4)])
    # 4 × 1.2 h fill the five hours of one day: one day of hire, and each garden two visits.
    assert found.machines[["machine", "unit", "sites"]].to_numpy().tolist() == [["scarifier", 1, 4]]
    assert found.machines["hours"].tolist() == pytest.approx([4.8])
    assert found.sites["visits"].tolist() == [2.0] * 4
    assert "road" in found.told[-1]


def test_a_site_without_days_says_why_and_hinders_no_other():
    past = (Window(dt.date(2026, 1, 1), dt.date(2026, 2, 1)),)
    rest = [garden("b"), garden("c")]
    with_it, without = across([garden("a", windows=past), *rest]), across(rest)
    own = with_it.steps[with_it.steps["site_id"] == "a"]
    assert (own["day"] == "").all()
    assert own["day_why"].str.contains("finds no date from 2027-03-01").all()
    others = with_it.steps[with_it.steps["site_id"] != "a"].reset_index(drop=True)
    pd.testing.assert_frame_equal(others, without.steps)
    assert with_it.sites["undated"].tolist() == [2.0, 0.0, 0.0]
    assert any("Steps that find no day: 2, on 1 of the sites" in each for each in with_it.told)


def test_nothing_to_be_done_has_no_days_and_a_site_is_there_once():
    assert across([]) is None
    with pytest.raises(ValueError, match="twice"):
        across([garden("a"), garden("a")])
    with pytest.raises(ValueError, match="no site"):
        together([])


def test_without_a_depot_the_least_that_sites_counted_on_holds():
    one, two = garden("a"), garden("b")
    few = {"scarifier": Machine(2, 3, windows=(Window(FIRST, on(40)),))}
    two = replace(two, work=replace(two.work, crew=Crew(1, 7), machines=few))
    work = together([one, two])
    assert work.crew == Crew(1, 6)
    assert work.machines["scarifier"] == Machine(1, 3, hired=True, windows=few["scarifier"].windows)
    assert work.machines["corer"] == MACHINES["corer"]
    assert together([one, two], Crew(5, 8), {}).crew == Crew(5, 8)


def test_a_site_alone_has_the_days_its_own_plan_gives_it(lawn):
    choices = lawn.choices(lawn.iron, first_day=FIRST, last_day=dt.date(2028, 2, 28))
    worked = lawn.work(lawn.zones({}, {}), choices)
    mine = prepared(worked.steps, worked.zones, choices, Calendar(), "north/9")
    found = across([mine])
    first, last = span(choices)
    windows = seasons(worked.steps, worked.zones, choices, weather=None, first=first, last=last)
    alone, dates = dating(worked.steps, choices, Calendar(), windows.windows)
    beside = placed(worked.steps, found, "north/9")
    pd.testing.assert_frame_equal(beside, alone)
    assert found.sites["visits"].tolist() == [float(len(dates.visits))]
    assert (placed(worked.steps, found, "another")["day"] == "").all()
