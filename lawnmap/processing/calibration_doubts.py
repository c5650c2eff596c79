"""Whether a calibration on record may be relied on today."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from lawnmap.reference import tables


def doubts(
    row: Mapping[str, str], *, today: dt.date, operator: str = "", nozzle: str = ""
) -> tuple[str, ...]:
    """Return why a calibration on record may not hold today.

    It belongs to the person who walked, the nozzle, and the day.

    Parameters
    ----------
    row : mapping of str to str
        A row of ``calibration.csv``.
    today : date
    operator, nozzle : str
        Who and what will be used; empty when not known.
    """
    said = []
    old = tables.value("calibration_old_days").number
    try:
        days = (today - dt.date.fromisoformat(row.get("date", ""))).days
    except ValueError:
        said.append(f"The calibration of {row.get('applicator')} has no good date.")
    else:
        if days > old:
            said.append(f"The calibration of {row.get('applicator')} is {days} days old.")
    for what, now in (("operator", operator), ("nozzle", nozzle)):
        then = row.get(what, "")
        if now and then and now.casefold() != then.casefold():
            said.append(f"It was calibrated with {what} {then}, and {now} is named now.")
    return tuple(f"{each} Calibrate it again." for each in said)
