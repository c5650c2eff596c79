"""Small random jobs, and the best dates for each by looking at every choice there is."""

import datetime as dt
import random
from itertools import product

from lawnmap.logistics.work import Closed, Crew, Machine, Step, Wait, Window, Work

MONDAY = dt.date(2026, 8, 31)
DAYS = 10
LEAST_CHOICES, MOST_CHOICES = 200, 8_000


def day(number):
    return MONDAY + dt.timedelta(days=number)


def small_job(seed):
    """Return a job of 2 to 6 zones over ten days that can be looked through."""
    source = random.Random(seed)
    while True:
        work = _draw(source)
        choices = 1
        for each in options(work).values():
            choices *= len(each) + 1
        if LEAST_CHOICES <= choices <= MOST_CHOICES:
            return work


def _draw(source):
    steps, promised, done = [], {}, {}
    for number in range(source.randint(2, 6)):
        zone = f"z{number}"
        steps += _zone(source, zone)
        if source.random() < 0.3:
            promised[f"{zone}.0"] = day(source.randrange(-1, DAYS))
        if source.random() < 0.15:
            done[f"{zone}.0"] = day(-source.randint(1, 4))
    closed = tuple(
        Closed(day(first), day(first + source.randrange(3)), "fixture", zones)
        for first in source.sample(range(DAYS), 1)
        for zones in [frozenset(source.choice([(), ("z0", "z1")]))]
    )
    machines = {"scarifier": Machine(1, source.choice([3, 4]), hired=True)}
    return Work(
        tuple(steps),
        MONDAY,
        day(DAYS - 1),
        Crew(source.choice([1, 1, 2]), 4),
        machines,
        closed,
        frozenset(range(source.choice([5, 7, 7]))),
        done,
        promised,
    )


def _zone(source, zone):
    first = source.randrange(7)
    window = Window(day(first), day(first + source.randint(2, 6)))
    machine = source.choice([None, "scarifier"])
    steps = [Step(f"{zone}.0", zone, "iron", source.randint(1, 3), machine, windows=(window,))]
    if source.random() < 0.5:
        least = source.randint(0, 3)
        wait = Wait(f"{zone}.0", least, least + source.randint(0, 2))
        hours = source.randint(1, 3)
        steps.append(Step(f"{zone}.1", zone, "scarifying", hours, "scarifier", after=(wait,)))
    return steps


def options(work):
    """Return every choice of days of each zone by itself, written straight from the rules."""
    result = {}
    for zone in sorted({step.zone for step in work.steps}):
        steps = [step for step in work.steps if step.zone == zone and step.id not in work.done]
        if steps:
            result[zone] = [
                tuple(zip(steps, days, strict=True))
                for days in product(map(day, range(DAYS)), repeat=len(steps))
                if _may(work, dict(zip([step.id for step in steps], days, strict=True)), steps)
            ]
    return result


def _may(work, on, steps):
    known = {**work.done, **on}
    for step in steps:
        date = on[step.id]
        closed = any(
            each.first <= date <= each.last and (not each.zones or step.zone in each.zones)
            for each in work.closed
        )
        season = not step.windows or any(w.first <= date <= w.last for w in step.windows)
        if closed or not season or date.weekday() not in work.weekdays:
            return False
        for wait in step.after:
            if not wait.least <= (date - known[wait.before]).days <= wait.most:
                return False
    return True


def best(work):
    """Return the fewest zones without dates, promises moved, visit days and days of hire."""
    results = []
    for choice in product(*([*each, ()] for each in options(work).values())):
        placed = [pair for group in choice for pair in group]
        if _fits(work, placed):
            moved = sum(work.promised.get(step.id, date) != date for step, date in placed)
            hire = {date for step, date in placed if step.machine}
            visits = {date for _, date in placed}
            results.append((choice.count(()), moved, len(visits), len(hire)))
    return min(results)


def _fits(work, placed):
    people, machine = {}, {}
    for step, date in placed:
        people[date] = people.get(date, 0) + step.hours
        if step.machine:
            machine[date] = machine.get(date, 0) + step.hours
    most = work.machines["scarifier"].hours
    return (
        all(each <= work.crew.people * work.crew.hours for each in people.values())
        and all(each <= most for each in machine.values())
        and all(step.hours <= most for step, _ in placed if step.machine)
    )
