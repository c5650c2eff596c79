"""Why zones find no date even by themselves: found out once for all zones alike."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import replace

from lawnmap.logistics import reasons
from lawnmap.logistics.domains import Group
from lawnmap.logistics.work import Step, Work

MARK = "\ufffc"  # stands for a zone in what is said of all that are alike


class Alone:
    """What is said of groups that find no date when nothing else is to be done.

    Parameters
    ----------
    work : Work
    """

    def __init__(self, work: Work) -> None:
        self.work = work
        self._steps = {step.id: step for step in work.steps}
        self._recent = [key for key, day in work.done.items() if day >= work.first]
        self._said: dict[Hashable, str] = {}

    def why(self, group: Group) -> str:
        """Return why a group finds no date; nothing when it would find one."""
        if told := reasons.too_much(self.work, group):
            return told
        marks = {
            zone: f"{MARK}{number}{MARK}"
            for number, zone in enumerate(dict.fromkeys(step.zone for step in group))
        }
        alike, there = self._alike(group, marks)
        key = self._key(alike, there)
        if key not in self._said:
            self._said[key] = reasons.alone(alike, there)
        said = self._said[key]
        for zone, mark in marks.items():
            said = said.replace(mark, zone)
        return said

    def _alike(self, group: Group, marks: Mapping[str, str]) -> tuple[Work, Group]:
        """Return the work of a group alone, with marks for its zones and numbers for its ids."""
        work = self.work
        since = [w.before for step in group for w in step.after if w.before in work.done]
        done = list(dict.fromkeys((*since, *self._recent)))
        ids = {key: str(number) for number, key in enumerate((*(s.id for s in group), *done))}
        steps = tuple(_marked(step, ids, marks) for step in group)
        before = tuple(
            replace(_marked(self._steps[key], ids, marks), after=(), windows=()) for key in done
        )
        closed = tuple(
            replace(each, zones=frozenset(marks[zone] for zone in each.zones & marks.keys()))
            for each in work.closed
            if not each.zones or each.zones & marks.keys()
        )
        alike = replace(
            work,
            steps=(*steps, *before),
            closed=closed,
            done={ids[key]: work.done[key] for key in done},
            promised={},
        )
        return alike, steps

    def _key(self, work: Work, group: Group) -> Hashable:
        """Return what the answer rests on: the hours only where a day may be too short for all."""
        spare = not self._recent and reasons.one_day_holds(work, group)
        steps = tuple(replace(step, hours=0.0) if spare else step for step in group)
        before = tuple((step.id, step.name, work.done.get(step.id)) for step in work.steps)
        return steps, before[len(group) :], work.closed


def _marked(step: Step, ids: Mapping[str, str], marks: Mapping[str, str]) -> Step:
    return replace(
        step,
        id=ids[step.id],
        zone=marks.get(step.zone, step.zone),
        after=tuple(replace(w, before=ids[w.before]) for w in step.after if w.before in ids),
    )
