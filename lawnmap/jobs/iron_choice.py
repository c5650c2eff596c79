"""Which iron to plan with, where there are several label cards to choose from."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import replace
from typing import NamedTuple

import geopandas as gpd
import pandas as pd

from lawnmap.days import Calendar
from lawnmap.jobs.deciding import Decided, decided
from lawnmap.model import Specification
from lawnmap.plugins import Treatment
from lawnmap.processing.days.soonest import Soonest, soonest
from lawnmap.processing.iron import iron_forms
from lawnmap.processing.iron.label_card import OPERATION
from lawnmap.processing.judgement.choose import choose
from lawnmap.processing.judgement.verdicts import WORK
from lawnmap.processing.setting_out.strips import strips
from lawnmap.schema import DO
from lawnmap.treatments.bladed import effort

EMPTY = Calendar()


class IronChoice(NamedTuple):
    """The choices with a card of iron named, and the table ``iron_forms``."""

    specification: Specification
    forms: pd.DataFrame


def iron_choice(
    zones: gpd.GeoDataFrame,
    lawn: gpd.GeoSeries,
    features: gpd.GeoDataFrame,
    specification: Specification,
    treatments: Mapping[str, Treatment],
    *,
    calendar: Calendar = EMPTY,
    since: dt.date | None = None,
) -> IronChoice:
    """Return the card of iron to plan with: the one named, else the best of several.

    With one card or none, or where no zone needs iron, there is nothing to choose: the choices
    stay as they are and the table has no row. Each card is planned with its own strips, so that
    what it may not reach counts, and with all the steps that wait for it, so that a card whose
    season or whose waits leave a zone without a day is passed over for one that fits.

    Parameters
    ----------
    zones : GeoDataFrame
        With the columns of the step ``measure``.
    lawn : GeoSeries
        What of each zone is lawn, in the order of the zones.
    features : GeoDataFrame
    specification : Specification
    treatments : mapping of str to Treatment
    calendar : Calendar
        The work on record that counts, closed days and weather.
    since : date or None
        The day of the survey.
    """
    cards = iron_forms.cards(specification)
    if len(cards) < 2:  # noqa: PLR2004 - two make a choice
        return IronChoice(specification, iron_forms.compare((), specification))
    rows, wanted = [], []
    for card in cards:
        if card.status != DO or card.product is None:
            rows.append(iron_forms.stopped_row(card))
            continue
        own = iron_forms.with_iron(specification, card.product.name)
        stripped, _ = strips(zones, lawn, features, own)
        judged = choose(stripped, features, own, effort)
        wanted.append(bool((judged["iron_status"] != "").any()))
        worked = judged[judged["verdict"].isin(WORK)]
        steps = treatments[OPERATION[card.form]].steps(worked, own)
        made = decided(stripped, features, own, treatments, calendar.record, since=since, lawn=lawn)
        rows.append(iron_forms.form_row(card, judged, steps, own, _first(made, calendar)))
    if zones.empty or (wanted and not any(wanted)):
        return IronChoice(specification, iron_forms.compare((), specification))
    forms = iron_forms.compare(rows, specification)
    used = forms.loc[forms["chosen"], "product"]
    if used.empty:
        return IronChoice(specification, forms)
    return IronChoice(iron_forms.with_iron(specification, str(used.iloc[0])), forms)


def _first(made: Decided, calendar: Calendar) -> dict[str, Soonest]:
    """Return the first seasons of each zone, what is on record beside the steps counting too."""
    beside = replace(calendar, record=made.marked.left)
    return soonest(made.marked.steps, made.zones, made.specification, beside)
