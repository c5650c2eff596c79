"""Why a step is not on the day it was promised for: the day itself, or what lies behind."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from lawnmap.logistics.board import Board
from lawnmap.logistics.domains import Group, allowed, groups, narrowed, within
from lawnmap.logistics.work import Step, Window, Work

HOLE = 31  # [d] between two windows; a longer one lies between two seasons
Places = Mapping[str, tuple[int, int]]


@dataclass(frozen=True)
class Moving:
    """A schedule in which promised days are not kept.

    Attributes
    ----------
    work : Work
    on : mapping of str to date
        The day of each step that has one, by its id.
    places : mapping of str to (day, unit)
        The same for what is not on record, in days from the first.
    """

    work: Work
    on: Mapping[str, dt.date]
    places: Places

    def why(self, step: Step) -> str:
        """Return why a promised step is on another day, or on none."""
        day = self.work.promised[step.id]
        if step.id in self.work.done:
            return "it was done on another day"
        if forbidden := self._forbidden(step):
            return forbidden
        said, before = self._too_near(step, day)
        if before is not None:
            return said + self._behind(before)
        if step.id not in self.on:
            return "it finds no date any more"
        group = next(each for each in self._groups if step in each)
        return self._followed(step, group) or self._taken(step, group)

    @cached_property
    def _groups(self) -> list[Group]:
        return groups(self.work)

    @cached_property
    def _steps(self) -> dict[str, Step]:
        return {step.id: step for step in self.work.steps}

    @cached_property
    def _shut(self) -> list[tuple[Group, Step, str]]:
        """The steps that moved since their day is shut, and what shuts it, by that day."""
        found = [
            (group, step, forbidden)
            for group in self._groups
            for step in group
            if (forbidden := self._forbidden(step))
        ]
        return sorted(found, key=lambda each: (self.work.promised[each[1].id], each[1].id))

    def _moved(self, step: Step) -> bool:
        day = self.work.promised.get(step.id)
        return day is not None and step.id not in self.work.done and self.on.get(step.id) != day

    def _forbidden(self, step: Step) -> str:
        """Return what shuts the promised day of a step that moved; nothing when it is open."""
        return (
            not_that_day(self.work, step, self.work.promised[step.id]) if self._moved(step) else ""
        )

    def _too_near(self, step: Step, day: dt.date) -> tuple[str, Step | None]:
        """Return which wait a day would break, and the step before, which is where it is."""
        for wait in step.after:
            if wait.before not in self.on:
                continue
            before, gone = self._steps[wait.before], (day - self.on[wait.before]).days
            if gone < 0 or (wait.most == 0 and gone > 0):
                return f"{before.name} comes before it", before
            if gone < wait.least:
                return f"it is not yet {wait.least} days after {before.name}", before
            if wait.most is not None and gone > wait.most:
                return f"it is more than {wait.most} days after {before.name}", before
        return "", None

    def _behind(self, step: Step) -> str:
        """Return, to be added, what is behind the day of a step that another waits for."""
        if step.id in self.work.done:
            return f", done on {self.on[step.id]}"
        seen: Step | None = step
        while seen is not None and self._moved(seen):
            day = self.work.promised[seen.id]
            if forbidden := self._forbidden(seen):
                name = "which" if seen is step else f"since {seen.name}"
                return f", {name} could not be on {day}: {forbidden}"
            seen = self._too_near(seen, day)[1]
        return f", {'now' if self._moved(step) else 'which is'} on {self.on[step.id]}"

    def _followed(self, step: Step, group: Group) -> str:
        """Return which later step holds it back from its day; nothing when none does."""
        free = allowed(self.work, group)
        day = (self.work.promised[step.id] - self.work.first).days
        held = {**free, step.id: (day,)}
        for number, each in enumerate(group, start=1):
            if all(narrowed(group[:number], held).values()):
                continue
            if forbidden := self._forbidden(each):
                promised = self.work.promised[each.id]
                return f"{each.name}, which comes after it, could not be on {promised}: {forbidden}"
            return f"{each.name}, which comes after it, would find no day in time"
        return ""

    def _taken(self, step: Step, group: Group) -> str:
        """Return what takes its place on the day it was promised for."""
        rolled = [each for each in self._shut if each[0] is not group]
        without = {one.id for each, _, _ in rolled for one in each} | {each.id for each in group}
        if rolled and self._fits(step, group, without):
            _, one, forbidden = rolled[0]
            return (
                f"its place goes to what could not be on {self.work.promised[one.id]} "
                f"({forbidden}): {one.name}"
            )
        return "that day cannot be had beside the other work"

    def _fits(self, step: Step, group: Group, without: set[str]) -> bool:
        """Say whether a step could have its promised day if some others were not there."""
        day = (self.work.promised[step.id] - self.work.first).days
        days = narrowed(group, {**allowed(self.work, group), step.id: (day,)})
        board = Board(self.work, days)
        for key, place in self.places.items():
            if key not in without:
                board.put(self._steps[key], *place)
        return board.takes(group)


def not_that_day(work: Work, step: Step, day: dt.date) -> str:
    """Return what forbids a step on a day whatever else is done; nothing when it may be."""
    if day < work.first:
        return "that day is past and the work is not on record"
    if day > work.last:
        return "that day is after the last day planned for"
    for each in work.closed:
        if each.first <= day <= each.last and (not each.zones or step.zone in each.zones):
            return f"closed: {each.reason}"
    if day.weekday() not in work.weekdays_at(step.site):
        return "that day of the week is not worked"
    if not within(day, step.windows):
        return _outside(day, step.windows)
    machine = work.machines.get(step.machine) if step.machine else None
    if machine is not None and not within(day, machine.windows):
        return "its machine cannot be had that day"
    return ""


def _outside(day: dt.date, windows: Sequence[Window]) -> str:
    """Return whether a day is out of season, or was taken out of the season."""
    ended = max((each.last for each in windows if each.last < day), default=dt.date.min)
    begins = min((each.first for each in windows if each.first > day), default=dt.date.max)
    if (begins - ended).days <= HOLE:
        return "the weather, or when the zone is open, takes that day out of its season"
    return "that day is outside its season"
