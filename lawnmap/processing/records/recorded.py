"""What the record says was done on each zone, without what was taken back.

A row is work when it names an operation. A row that names another under ``cancels`` takes that one
back, whether or not it is work itself: a mistake is a new row, and nothing is changed.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterable, Mapping

from lawnmap.processing.days.waits import ROLE

Row = Mapping[str, str]

# Work that no treatment plans and a register has all the same: what it counts as for the waits.
OTHER_WORK = {"liming": "lime", "other": "other"}


def taken_back(rows: Iterable[Row]) -> dict[str, Row]:
    """Return the row that took each row back, by the record_id of what it took back."""
    found: dict[str, Row] = {}
    for row in rows:
        if row.get("cancels"):
            found.setdefault(row["cancels"], row)
    return found


def live(rows: Iterable[Row]) -> list[Row]:
    """Return the rows of work that stand, in their order: not taken back, and no mere taking back.

    Of what it returned already it leaves nothing out, as long as all rows were given it the first
    time.

    Examples
    --------
    >>> wrong = {"record_id": "a", "operation": "mowing", "cancels": ""}
    >>> back = {"record_id": "b", "operation": "", "cancels": "a"}
    >>> live([wrong]) == [wrong], live([wrong, back])
    (True, [])
    """
    rows = list(rows)
    gone = taken_back(rows)
    return [row for row in rows if row.get("operation") and row.get("record_id") not in gone]


def handed_down(rows: Iterable[Row], came_from: Mapping[str, str]) -> list[Row]:
    """Return live rows under the zones that are there now: who was cut or merged keeps its past.

    Parameters
    ----------
    rows : iterable of mapping
    came_from : mapping of str to str
        Of every zone of the site, the ids of the zones it was cut or merged from, with spaces
        between: the column ``came_from``.

    Returns
    -------
    list of mapping
        A row of a zone that is there as it is; of one that is gone, a copy for each that came from
        it. A row that names no zone, or one that nobody came from, is left as it is: see `doubts`.
    """
    heirs: dict[str, list[str]] = {}
    for zone_id, parents in came_from.items():
        for parent in (parents or "").replace(",", " ").split():
            heirs.setdefault(parent, []).append(zone_id)
    found: list[Row] = []
    for row in live(rows):
        zone_id = row.get("zone_id", "")
        now = [] if zone_id in came_from else heirs.get(zone_id, [])
        found += [{**row, "zone_id": heir} for heir in now] or [row]
    return found


def day(row: Row) -> dt.date | None:
    """Return the day of a row; None when it has none that can be read."""
    try:
        return dt.date.fromisoformat(row.get("date", "").strip())
    except ValueError:
        return None


def counts_as(row: Row) -> str:
    """Return what the work of a row is for the waits: iron, seed, blades, mowing and so on."""
    operation = row.get("operation", "")
    return ROLE.get(operation) or OTHER_WORK.get(operation, operation)


def work(rows: Iterable[Row], zone_id: str, role: str = "", *, product: str = "") -> list[Row]:
    """Return the live rows of a zone that have a day, the earliest first.

    Parameters
    ----------
    rows : iterable of mapping
    zone_id : str
    role : str, optional
        Only work that counts as this: see `counts_as`.
    product : str, optional
        Only work with this product. A row that names none may have been with any: it is one of
        them, so that no limit is passed unseen.
    """
    found = [
        (when, row)
        for row in live(rows)
        if row.get("zone_id") == zone_id
        and (when := day(row)) is not None
        and (not role or counts_as(row) == role)
        and (not product or row.get("product", "") in ("", product))
    ]
    return [row for _, row in sorted(found, key=lambda each: each[0])]


def doses(rows: Iterable[Row], zone_id: str, year: int, *, product: str = "") -> list[Row]:
    """Return the applications of iron on a zone in a year, the earliest first.

    With `product` only those of this product, or of none that is named: see `work`.
    """
    found = work(rows, zone_id, "iron", product=product)
    return [row for row in found if (when := day(row)) is not None and when.year == year]


def last(
    rows: Iterable[Row], zone_id: str, role: str, *, by: dt.date | None = None
) -> dt.date | None:
    """Return the last day on which work of a role was done on a zone, None when it never was.

    Parameters
    ----------
    rows : iterable of mapping
    zone_id : str
    role : str
        seed, iron, blades, …
    by : date, optional
        The last day that counts.
    """
    days = [when for row in work(rows, zone_id, role) if (when := day(row)) is not None]
    return max((when for when in days if by is None or when <= by), default=None)


def doubts(rows: Iterable[Row], zone_ids: Collection[str]) -> list[str]:
    """Return a sentence for each live row that counts nowhere: of no day, or of no zone there is.

    Give it what `handed_down` returned, so that heirs are known.
    """
    found = []
    for row in live(rows):
        name = f"record.csv, {row.get('record_id') or 'a row without record_id'}"
        if day(row) is None:
            found.append(f"{name}: {row.get('date', '')!r} is no day: it is counted nowhere.")
        elif row.get("zone_id") not in zone_ids:
            zone_id = row.get("zone_id")
            told = f"there is no zone {zone_id!r}" if zone_id else "it has no zone"
            found.append(f"{name}: {told}: it is counted nowhere.")
    return found
