"""What a plan begins with: areas, sun, what the record says, and which iron is planned with."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

import geopandas as gpd

from lawnmap import plugins
from lawnmap.days import Calendar
from lawnmap.errors import PluginProblem
from lawnmap.jobs.iron_choice import IronChoice, iron_choice
from lawnmap.jobs.measure import MeasureReply, measure
from lawnmap.light import Sunlight
from lawnmap.model import Site, Specification
from lawnmap.plugins import Treatment
from lawnmap.processing.buying.only_card import only_cards
from lawnmap.processing.impossible import refuse
from lawnmap.processing.records.done import Past, counted_from, past, remembered
from lawnmap.processing.sun.used import Used, used

SPECIFICATION = "specification.toml"


class Beginning(NamedTuple):
    """What is known of a site before the strips are laid out.

    Attributes
    ----------
    measured : MeasureReply
        Areas, what of each zone is lawn, and warnings of both.
    lit : Used
        The hours of sun that are used.
    record : Past
        Work on record that counts.
    since : date
        The day from which it is part of the plan.
    zones : GeoDataFrame
        With the columns of the steps ``measure`` and ``sun``, and the record heeded.
    treatments : dict of str to Treatment
        Those that are chosen, by the name of their operation.
    iron : IronChoice
        The choices with a card of iron named, and how the cards compare.
    taken : tuple of str
        Which cards were taken because there is no other, each a whole sentence.
    """

    measured: MeasureReply
    lit: Used
    record: Past
    since: dt.date
    zones: gpd.GeoDataFrame
    treatments: dict[str, Treatment]
    iron: IronChoice
    taken: tuple[str, ...]


def beginning(
    site: Site,
    specification: Specification,
    calendar: Calendar,
    *,
    today: dt.date,
    sun: Sequence[Sunlight] = (),
) -> Beginning:
    """Return what the plan of a site begins with.

    Parameters
    ----------
    site, specification, calendar, today, sun
        As :func:`lawnmap.jobs.plan.plan` takes them.

    Returns
    -------
    Beginning

    Raises
    ------
    InputRefused
        When choices rule each other out, or an outline is not sound.
    """
    refuse(specification)
    specification, taken = only_cards(specification)
    measured = measure(site)
    since = counted_from(site.surveyed, specification, today)
    lit = used(measured.zones, site.features, site.heights, sun, surface=site.surface)
    record = past(calendar.record, lit.zones, today)
    known, work = remembered(lit.zones, record.rows), treatments(specification)
    iron = iron_choice(
        known,
        measured.lawn,
        site.features,
        specification,
        work,
        calendar=replace(calendar, record=record.rows),
        since=since,
    )
    return Beginning(measured, lit, record, since, known, work, iron, tuple(taken))


def treatments(specification: Specification) -> dict[str, Treatment]:
    """Return the treatment plugins that the site or any zone of it has chosen, by name.

    Raises
    ------
    PluginProblem
        When one of them is not there, or will not load; with the key that names it.
    """
    places = dict.fromkeys(specification.choices["operations"], "operations")
    for zone_id, own in specification.by_zone.items():
        for name in own.get("operations", ()):
            places.setdefault(name, f"zones.{zone_id}.operations")
    return {name: _treatment(name, place) for name, place in places.items()}


def _treatment(name: str, place: str) -> Treatment:
    if name not in (there := plugins.available("treatments")):
        raise PluginProblem(
            f"there is no treatment called {name!r}",
            file=SPECIFICATION,
            place=place,
            remedy="Install the package that brings it, or take it out there. "
            f"There are: {', '.join(there)}.",
        )
    try:
        found: Treatment = plugins.load("treatments", name)
    except PluginProblem as error:
        raise error.within(file=SPECIFICATION, place=place) from error.__cause__
    return found
