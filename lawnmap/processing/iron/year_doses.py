"""The step ``year_doses``: iron on record counts against what the label allows in a year."""

from __future__ import annotations

from collections.abc import Sequence

import pandas as pd

from lawnmap.model import Specification
from lawnmap.processing.iron.label_card import OPERATION, first_day
from lawnmap.processing.iron.set_aside import set_aside
from lawnmap.processing.records.done import Row
from lawnmap.processing.records.recorded import doses
from lawnmap.schema import DO, DONE, NOT_ALLOWED

RULE = "iron_none_year"


def year_doses(
    steps: pd.DataFrame, left: Sequence[Row], specification: Specification
) -> pd.DataFrame:
    """Return the steps without the applications that would be too many in the year.

    Parameters
    ----------
    steps : DataFrame
        The table ``steps``, with what is done marked.
    left : sequence of mapping
        Work on record that is no step of the plan.
    specification : Specification

    Notes
    -----
    Every application of iron in the calendar year of the first day counts, whatever the product:
    the grass does not read labels. A label that names no number allows one.
    """
    year = first_day(specification).year
    iron = steps["operation"].isin(OPERATION.values())
    too_many: list[int] = []
    for zone_id, rows in steps[iron].groupby("zone_id", sort=False):
        to_do = rows.index[rows["status"] == DO]
        card = specification.products.get(rows["product"].iloc[0])
        most = (card.most_doses_a_year if card else None) or 1
        gone = len(doses(left, str(zone_id), year)) + int((rows["status"] == DONE).sum())
        too_many += [*to_do[max(most - gone, 0) :]]
    if not too_many:
        return steps
    result = steps.copy()
    stopped = set_aside(steps.loc[too_many], RULE, NOT_ALLOWED)
    result.loc[too_many, stopped.columns] = stopped
    return result
