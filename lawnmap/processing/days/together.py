"""The work of all sites of one depot as one job: its people and its machines are shared."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from functools import reduce
from urllib.parse import quote, unquote

from lawnmap.logistics.work import Closed, Crew, Machine, Step, Window, Work
from lawnmap.processing.days.prepared import Prepared


def together(
    prepared: Iterable[Prepared],
    crew: Crew | None = None,
    machines: Mapping[str, Machine] | None = None,
) -> Work:
    """Return the work of some sites as one job; the order they come in does not matter.

    Parameters
    ----------
    prepared : iterable of Prepared
        One or more, each site once.
    crew : Crew, optional
        The people of the depot. Without it those that every site counted on: the fewest people
        and hours.
    machines : mapping of str to Machine, optional
        What the depot has. Without it what the sites counted on; where they differ, the fewest and
        the days that all of them have.

    Raises
    ------
    ValueError
        When there is no site, or one is there twice.
    """
    sites = sorted(prepared, key=lambda each: each.site)
    if len({each.site for each in sites}) < len(sites):
        raise ValueError("a site is there twice")
    works = [each.work for each in sites]
    if not works:
        raise ValueError("there is no site")
    first, last = min(each.first for each in works), max(each.last for each in works)
    weekdays = frozenset[int]().union(*(each.weekdays for each in works))
    return Work(
        tuple(step for each in sites for step in _steps(each, first, last)),
        first,
        last,
        crew or _crew(works),
        _machines(works) if machines is None else machines,
        tuple(closed for each in sites for closed in _closed(each)),
        weekdays,
        {_id(each.site, key): day for each in sites for key, day in each.work.done.items()},
        {_id(each.site, key): day for each in sites for key, day in each.work.promised.items()},
        {each.site: each.work.weekdays for each in sites if each.work.weekdays != weekdays},
    )


def parted(step_id: str) -> tuple[str, str]:
    """Return the site of a step, and the step's id in the plan of that site."""
    site, _, own = step_id.partition(" ")
    return unquote(site), own


def _id(site: str, step_id: str) -> str:
    """Return an id with its site before it; a site may hold spaces and slashes, its id does not."""
    return f"{quote(site, safe='')} {step_id}"


def _zone(site: str, zone: str) -> str:
    return f"{site} {zone}"


def _steps(prepared: Prepared, first: dt.date, last: dt.date) -> Iterable[Step]:
    site, work = prepared.site, prepared.work
    span = Window(work.first, work.last)
    whole = (work.first, work.last) == (first, last)
    for step in work.steps:
        yield replace(
            step,
            id=_id(site, step.id),
            zone=_zone(site, step.zone),
            after=tuple(replace(each, before=_id(site, each.before)) for each in step.after),
            windows=step.windows if whole else _within(step.windows, span),
            site=site,
        )


def _within(windows: Sequence[Window], span: Window) -> tuple[Window, ...]:
    """Return the days of some windows that a site plans for; all of them when there are none."""
    cut = (_common(each, span) for each in windows or (span,))
    never = Window(dt.date.min, dt.date.min)  # no window at all would mean any day
    return tuple(each for each in cut if each.first <= each.last) or (never,)


def _common(one: Window, two: Window) -> Window:
    return Window(max(one.first, two.first), min(one.last, two.last))


def _closed(prepared: Prepared) -> Iterable[Closed]:
    """Return the days a site is closed, for its own zones."""
    site = prepared.site
    all_zones = {step.zone for step in prepared.work.steps}
    for each in prepared.work.closed:
        if zones := (each.zones & all_zones if each.zones else all_zones):
            yield replace(each, zones=frozenset(_zone(site, zone) for zone in zones))


def _crew(works: Sequence[Work]) -> Crew:
    crews = [each.crew for each in works]
    return Crew(min(each.people for each in crews), min(each.hours for each in crews))


def _machines(works: Sequence[Work]) -> dict[str, Machine]:
    found: dict[str, list[Machine]] = {}
    for work in works:
        for name, each in work.machines.items():
            found.setdefault(name, []).append(each)
    return {name: reduce(_fewest, alike) for name, alike in sorted(found.items())}


def _fewest(one: Machine, two: Machine) -> Machine:
    if one == two:
        return one
    windows = one.windows or two.windows
    if one.windows and two.windows:
        both = [_common(a, b) for a in one.windows for b in two.windows]
        never = Window(dt.date.min, dt.date.min)
        windows = tuple(each for each in both if each.first <= each.last) or (never,)
    return Machine(
        min(one.count, two.count),
        min(one.hours, two.hours),
        one.hired or two.hired,
        windows,
    )
