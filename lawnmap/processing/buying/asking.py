"""The quote for the work that is in the price: what the exclusions leave out is not charged."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import replace

import geopandas as gpd
import pandas as pd

from lawnmap.days import Dates
from lawnmap.model import Specification
from lawnmap.pages.words import known
from lawnmap.processing.buying.costs import costs
from lawnmap.processing.buying.quoting import quoting
from lawnmap.processing.buying.totals import totals


def asking(
    cost: pd.DataFrame,
    steps: pd.DataFrame,
    dates: Dates,
    *,
    zones: gpd.GeoDataFrame,
    features: gpd.GeoDataFrame,
    specification: Specification,
) -> pd.DataFrame:
    """Return the table ``quote`` of the schema.

    Parameters
    ----------
    cost : DataFrame
        The table ``costs`` of all the work.
    steps : DataFrame
        The table ``steps``, with its days.
    dates : Dates
    zones, features : GeoDataFrame
    specification : Specification
        An exclusion that begins with the name of an operation takes that out of the price, with
        its materials, hire and visits. The price holds from its ``today``.
    """
    out = excluded(steps, specification)
    if out and not cost.empty:
        kept = steps[~steps["operation"].isin(out)]
        dates = _without(steps, kept, dates)
        cost = costs(kept, totals(kept, specification), specification, dates)
        steps = kept
    today: dt.date = specification.choice("today")
    return quoting(cost, steps, zones, features, specification, today=today, left_out=out)


def excluded(steps: pd.DataFrame, specification: Specification) -> tuple[str, ...]:
    """Return the operations of a plan that an exclusion begins with, in their order."""
    texts = (specification.choice("quote") or {}).get("exclusions") or ()
    said = [str(each).strip().casefold() for each in texts]
    return tuple(
        each
        for each in dict.fromkeys(steps["operation"])
        if any(_begins(text, name) for text in said for name in _names(str(each)))
    )


def _names(operation: str) -> Iterator[str]:
    yield operation.replace("_", " ")
    yield known("operation", operation).casefold()


def _begins(text: str, name: str) -> bool:
    after = text[len(name) : len(name) + 1]
    return text.startswith(name) and not after.isalnum()


def _without(steps: pd.DataFrame, kept: pd.DataFrame, dates: Dates) -> Dates:
    """Return dates without the days on which only what is left out would be done."""
    gone = {day for _, row in steps[~steps.index.isin(kept.index)].iterrows() for day in _span(row)}
    gone -= {day for _, row in kept.iterrows() for day in _span(row)}
    return replace(
        dates,
        visits=tuple(each for each in dates.visits if each not in gone),
        hire=tuple(each for each in dates.hire if each[1] not in gone),
        out=tuple(each for each in dates.out if each[1] not in gone),
    )


def _span(row: pd.Series) -> Iterator[dt.date]:
    """Yield every day from the first of a step to its last."""
    if not row["day"]:
        return
    first = dt.date.fromisoformat(row["day"])
    last = dt.date.fromisoformat(row["day_last"] or row["day"])
    for number in range((last - first).days + 1):
        yield first + dt.timedelta(days=number)
