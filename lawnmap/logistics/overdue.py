"""Longest waits from work on record that can no longer be kept: given up, and told."""

from __future__ import annotations

import datetime as dt
from collections.abc import Container
from dataclasses import replace

from lawnmap.logistics.domains import Days, Group, allowed, groups, narrowed
from lawnmap.logistics.work import Step, Wait, Work


def caught_up(work: Work) -> Work:
    """Return work without the longest waits from the record that leave a step without a day.

    Such a step has the first day it can have, or the day it was promised for when that is later.
    The other waits hold: what can still be done in time is done in time.
    """
    free = allowed(work)
    changed: dict[str, Step] = {}
    for group in groups(work):
        for number, step in enumerate(group, start=1):
            if not _limited(work, step) or all(narrowed(group[:number], free).values()):
                continue
            late = without_most(work, step)
            some = (*group[: number - 1], late)
            days = narrowed(some, {**_of(some, free), **allowed(work, [late])})
            if all(days.values()):
                late = without_most(work, step, until=_soon(work, step, days[step.id]))
                changed[step.id] = late
                free |= allowed(work, [late])
    steps = tuple(changed.get(step.id, step) for step in work.steps)
    return replace(work, steps=steps) if changed else work


def _of(group: Group, days: Days) -> Days:
    return {step.id: days[step.id] for step in group}


def _soon(work: Work, step: Step, days: tuple[int, ...]) -> dt.date:
    """Return the first day a step can have, or the one it was promised for."""
    first = work.first + dt.timedelta(days=days[0])
    promised = work.promised.get(step.id)
    return promised if promised and (promised - work.first).days in days else first


def released(work: Work, ids: Container[str]) -> Work:
    """Return work in which the steps of some ids have no longest wait from the record."""
    steps = tuple(without_most(work, step) if step.id in ids else step for step in work.steps)
    return replace(work, steps=steps)


def told(work: Work, step: Step, day: dt.date) -> str:
    """Return which longest wait a day is too late for, and by how much; nothing when none is."""
    for wait in step.after:
        since = work.done.get(wait.before)
        if since is None or wait.given_up is None or (day - since).days <= wait.given_up:
            continue
        before = work.by_id[wait.before]
        within = f"at most {wait.given_up} days after it" if wait.given_up else "the same day"
        return (
            f"{step.name} on {day} is {(day - since).days} days after {before.name}, done on "
            f"{since}: it should be {within}, which cannot be had any more"
        )
    return ""


def _limited(work: Work, step: Step) -> bool:
    return any(_limits(work, wait) for wait in step.after)


def _limits(work: Work, wait: Wait) -> bool:
    return wait.most is not None and wait.before in work.done


def without_most(work: Work, step: Step, *, until: dt.date | None = None) -> Step:
    """Return a step without its longest waits from the record, or with some that end on a day."""
    after: list[Wait] = []
    for wait in step.after:
        if not _limits(work, wait):
            after.append(wait)
            continue
        gone = (until - work.done[wait.before]).days if until else None
        most = None if gone is None else max(gone, wait.most or 0)
        given_up = wait.most if wait.given_up is None else wait.given_up
        after.append(replace(wait, most=most, given_up=given_up))
    return replace(step, after=tuple(after))
