"""The days on which somebody comes, and what begins, goes on and stays undone on each."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from lawnmap.exports.wording.amounts import missing, text
from lawnmap.exports.wording.rows import records, zone_rows
from lawnmap.exports.wording.step_text import Step, steps, working
from lawnmap.model import Plan
from lawnmap.schema import DO, NO_WORK

WALK = "walk"
TWO_DAYS = 2.0  # then the first and the last of them are known, and no day between


class Visit(NamedTuple):
    """One day of work.

    Attributes
    ----------
    day : str
        ISO date; empty for the steps that have none.
    steps : tuple of Step
        What begins on it, in the way round from zone to zone and the order of work in each.
    goes_on : tuple of Step
        What began on an earlier day and takes this one too.
    not_here : tuple of Step
        The same work in zones where it must not be done.
    """

    day: str
    steps: tuple[Step, ...]
    goes_on: tuple[Step, ...] = ()
    not_here: tuple[Step, ...] = ()

    @property
    def zones(self) -> list[str]:
        """The zones with work, in the way round."""
        return list(dict.fromkeys(each.zone_id for each in (*self.steps, *self.goes_on)))

    @property
    def order(self) -> list[tuple[str, list[str]]]:
        """The work of the day with its zones, so that in each zone step follows step."""
        return in_order(self.steps)


def visits(plan: Plan, units: str) -> list[Visit]:
    """Return the days of work of a plan; last, with no day, the steps that have none.

    Every step that is to be done stands in ``steps`` of one visit, whatever days it takes.
    """
    found = walked(plan, units)
    live = [step for step in found if step.status == DO and step.operation not in NO_WORK]
    stopped = [step for step in found if step.status != DO]
    promised = {day.isoformat() for day in plan.dates.visits}
    days = sorted({_first(step) for step in live} - {""})
    days = sorted({*days, *(day for day in promised if any(_goes_on(s, day) for s in live))})
    made = [_visit(day, live, stopped) for day in days]
    undated = tuple(step for step in live if not _first(step))
    return [*made, Visit("", undated)] if undated else made


def walked(plan: Plan, units: str) -> list[Step]:
    """Return all steps that are not left out, zone by zone in the way round."""
    by_zone = steps(plan.steps, units)
    place = {zone_id: number for number, zone_id in enumerate(way_round(plan))}
    ids = sorted(by_zone, key=lambda zone_id: place.get(zone_id, len(place)))
    return [step for zone_id in ids for step in working(by_zone[zone_id])]


def not_to_do(plan: Plan, units: str) -> list[Step]:
    """Return the steps that nobody may carry out from a sheet, and those that are done."""
    return [step for step in walked(plan, units) if step.status != DO]


def left_alone(plan: Plan, units: str) -> list[Step]:
    """Return the zones that are not touched, each as the step that says so."""
    return [step for step in walked(plan, units) if step.operation in NO_WORK]


def way_round(plan: Plan) -> list[str]:
    """Return the zones in the order of the walk, those it leaves out behind."""
    walk = plan.layers.get(WALK)
    walked_ids: list[str] = []
    if walk is not None and not walk.empty:
        rows = sorted(records(walk.drop(columns="geometry")), key=lambda row: row["number"])
        walked_ids = [text(row["zone_id"]) for row in rows]
    return list(dict.fromkeys([*walked_ids, *(zone_id for zone_id, _ in zone_rows(plan.zones))]))


def in_order(found: Iterable[Step]) -> list[tuple[str, list[str]]]:
    """Return kinds of work with their zones, one after the other, so that each zone keeps its own.

    Work is done in all zones at once where no zone has something else to be done before it.
    """
    queues: dict[str, list[str]] = {}
    for step in found:
        queues.setdefault(step.zone_id, []).append(step.operation)
    return list(_lines(queues))


def _lines(queues: dict[str, list[str]]) -> Iterator[tuple[str, list[str]]]:
    while queues:
        heads = dict.fromkeys(queue[0] for queue in queues.values())
        blocked = {each for queue in queues.values() for each in queue[1:]}
        operation = next((each for each in heads if each not in blocked), next(iter(heads)))
        ready = [zone_id for zone_id, queue in queues.items() if queue[0] == operation]
        yield operation, ready
        queues = {
            zone_id: rest
            for zone_id, queue in queues.items()
            if (rest := queue[1:] if zone_id in ready else queue)
        }


def _visit(day: str, live: list[Step], stopped: list[Step]) -> Visit:
    begun = tuple(step for step in live if _first(step) == day)
    work = {step.operation for step in begun}
    not_here = tuple(step for step in stopped if step.operation in work)
    return Visit(day, begun, tuple(step for step in live if _goes_on(step, day)), not_here)


def _first(step: Step) -> str:
    return text(step.row.get("day"))


def _goes_on(step: Step, day: str) -> bool:
    """Tell whether a step that began earlier takes this day, as far as the plan says."""
    last = text(step.row.get("day_last"))
    if not last or not _first(step) < day <= last:
        return False
    many = missing(step.row.get("days")) or float(step.row["days"]) > TWO_DAYS
    return day == last or many
