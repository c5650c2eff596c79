"""The job ``trace``: for every number of one zone its rule, inputs and published values."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from lawnmap.exports.wording.rows import zone_rows
from lawnmap.jobs.tracing.inputs import Ground
from lawnmap.jobs.tracing.of_site import of_cautions, of_loads, of_tables, of_totals
from lawnmap.jobs.tracing.of_steps import of_steps
from lawnmap.jobs.tracing.of_strips import kept_clear
from lawnmap.jobs.tracing.of_zone import areas, chosen, judged
from lawnmap.jobs.tracing.traced import Traced
from lawnmap.model import Plan
from lawnmap.processing.records.near_miss import one_of

# In the order in which a plan is worked out. A further table needs no more than a line here.
TRACERS: tuple[Callable[[Ground], Iterator[Traced]], ...] = (
    areas,
    judged,
    chosen,
    kept_clear,
    of_steps,
    of_loads,
    of_totals,
    of_tables,
    of_cautions,
)


def trace(plan: Plan, zone_id: str) -> list[Traced]:
    """Return where each number that the plan prints for a zone comes from.

    Parameters
    ----------
    plan : Plan
        Whole, not cut down to an audience.
    zone_id : str

    Raises
    ------
    InputRefused
        When there is no such zone; what was probably meant is named.
    """
    found = named(plan, zone_id)
    (zone,) = [row for each, row in zone_rows(plan.zones) if each == found]
    ground = Ground(plan, found, zone)
    return [each for tracer in TRACERS for each in tracer(ground)]


def named(plan: Plan, zone_id: str) -> str:
    """Return the zone of that id.

    Raises
    ------
    InputRefused
        When there is none; what was probably meant is named.
    """
    return one_of(
        zone_id,
        [str(each) for each in plan.zones.index],
        unknown=f"there is no zone {zone_id!r}",
        what="The zones are",
    )
