"""The job behind ``record --cancel``: a row is taken back by another one, which says why."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from lawnmap.errors import InputRefused
from lawnmap.jobs.record import Recorded, dated, next_id, saved
from lawnmap.model import Site
from lawnmap.processing.records.near_miss import meant
from lawnmap.processing.records.record_cells import Cells, cells
from lawnmap.processing.records.recorded import Row, taken_back
from lawnmap.store import record as store
from lawnmap.store.folder import Folder

SAID = ("reason", "by", "note", "date")


def cancel(
    folder: Folder,
    site: Site,
    record_id: str,
    given: Mapping[str, str],
    *,
    today: dt.date,
    dry_run: bool = False,
) -> Recorded:
    """Take a row back by adding one that says so and why. Nothing is changed or taken away.

    Parameters
    ----------
    folder : Folder
    site : Site
        As loaded from it.
    record_id : str
        Of the row to take back.
    given : mapping of str to str
        ``reason``, and perhaps ``by``, ``note`` or ``date``.
    today : date
    dry_run : bool
        Check and save nothing.

    Returns
    -------
    Recorded

    Raises
    ------
    InputRefused
        When there is no such row, it was taken back before, it is no work but takes another back,
        or no reason is given.
    """
    there = store.read(folder)
    old = _standing(there.rows, record_id)
    filled, how = dated(_said(given, record_id), today)
    row = {
        "record_id": next_id(there.rows),
        "zone_id": old.get("zone_id", ""),
        **filled,
        "cancels": record_id,
    }
    found = Recorded(row, how, revision=site.revision)
    return found if dry_run else saved(folder, site, there, found)


def _standing(rows: tuple[Row, ...], record_id: str) -> Row:
    """Return the row of work that stands under an id."""
    there = {row["record_id"]: row for row in rows}
    gone = taken_back(rows)
    if record_id in gone:
        by = gone[record_id]
        raise InputRefused(
            f"{record_id} was taken back already, by {by['record_id']} on {by.get('date', '')}",
            remedy="If it was done after all, record it once more.",
        )
    if record_id not in there:
        standing = [name for name, row in there.items() if row.get("operation")]
        standing = [name for name in standing if name not in gone]
        near = meant(record_id, standing, what="These stand") or "Nothing is recorded yet."
        raise InputRefused(f"the record has no row {record_id!r}", remedy=near)
    if not there[record_id].get("operation"):
        other = there[record_id].get("cancels", "")
        raise InputRefused(
            f"{record_id} is no work: it took {other} back",
            remedy=f"If {other} was done after all, record it once more.",
        )
    return there[record_id]


def _said(given: Mapping[str, str], record_id: str) -> Cells:
    typed = cells(given, "")
    strange = sorted(set(typed) - set(SAID))
    if strange:
        raise InputRefused(
            f"{strange[0]} is not asked of a row that takes another back",
            remedy="Give reason=, and record the work as it was in a new row.",
        )
    if not typed.get("reason"):
        raise InputRefused(
            f"it is not said why {record_id} is taken back", remedy='Add reason="typed twice".'
        )
    return typed
