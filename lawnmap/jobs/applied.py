"""The job behind ``compare --applied``: the plan that was issued last against the record."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pandas as pd

from lawnmap.errors import InputRefused, SiteDamaged
from lawnmap.processing.records import applied as step
from lawnmap.processing.records.applied_words import sentence
from lawnmap.store import issued, record
from lawnmap.store.folder import find


@dataclass(frozen=True)
class AppliedReply:
    """What was planned against what was done.

    Attributes
    ----------
    issued_id, day : str
        Of the issued plan.
    table : DataFrame
        See :func:`lawnmap.processing.records.applied.applied`; ``said`` has each row in words.
    names : dict of str to str
        The name of each zone that has one.
    """

    issued_id: str
    day: str
    table: pd.DataFrame
    names: dict[str, str]


def applied(path: Path) -> AppliedReply:
    """Hold the record of a site against the plan that was issued last.

    Parameters
    ----------
    path : Path
        A site folder.

    Returns
    -------
    AppliedReply

    Raises
    ------
    InputRefused
        When nothing was issued yet.
    SiteDamaged
        When the issued plan is damaged.
    """
    folder = find(path)
    newest = next(iter(issued.listed(folder)), None)
    if newest is None:
        raise InputRefused(
            "no plan has been issued, so there is none to hold the record against",
            file=folder.name,
            remedy="Issue one before the work: lawnmap issue.",
        )
    if not newest.holds(issued.PLAN):
        raise _damaged(f"is not as it was handed over, or {issued.FILES} beside it is damaged")
    try:
        plan = newest.read(issued.PLAN)
    except InputRefused as error:
        raise _damaged(error.problem) from error
    steps, zones = (_rows(plan, name) for name in ("steps", "zones"))
    table = step.applied(steps, record.read(folder).rows, issued_id=newest.id, since=newest.day)
    table["said"] = [sentence(row) for _, row in table.iterrows()]
    names = {str(each.get("zone_id")): str(each["name"]) for each in zones if each.get("name")}
    return AppliedReply(newest.id, newest.day.isoformat(), table, names)


def _rows(plan: object, name: str) -> list[dict[str, object]]:
    rows = plan.get(name) if isinstance(plan, dict) else None
    if not isinstance(rows, list) or not all(isinstance(each, dict) for each in rows):
        raise _damaged(f"has no table {name}")
    return rows


def _damaged(problem: str) -> SiteDamaged:
    return SiteDamaged(
        problem,
        file=issued.PLAN,
        remedy="Put it back from a copy, or issue the plan again: lawnmap issue.",
    )
