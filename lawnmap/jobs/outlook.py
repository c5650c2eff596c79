"""What the plan would say of one zone, with changes that are not saved yet."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import shapely

from lawnmap.errors import InputRefused
from lawnmap.exports.wording import why
from lawnmap.exports.wording.rows import zone_rows
from lawnmap.exports.wording.step_text import Step, steps
from lawnmap.jobs.choices import choices
from lawnmap.jobs.opening import Opened
from lawnmap.jobs.plan import plan
from lawnmap.light import Sunlight
from lawnmap.model import Site, Specification
from lawnmap.pages.words import known
from lawnmap.processing.editing.keyed import Keyed, is_zone
from lawnmap.processing.editing.marking import outline_of
from lawnmap.processing.sun.facts import changed, facts_of
from lawnmap.schema import DO
from lawnmap.store.folder import Folder
from lawnmap.store.sunlight import kept


@dataclass(frozen=True)
class Depot:
    """Where a person's label cards and machines are, and the day to plan for."""

    given: Path | None
    personal: Path
    today: dt.date


@dataclass(frozen=True)
class Outlook:
    """Steps in words, the reason for each, and what a person should know."""

    steps: list[str]
    why: list[str]
    warnings: list[str]


def outlook(folder: Folder, site: Site, features: Keyed, zone_id: str, depot: Depot) -> Outlook:
    """Return what the plan would say of a zone.

    Only what can matter to it is planned: the zone, those that share ground with it, and all that
    is no zone.

    Parameters
    ----------
    folder : Folder
    site : Site
        As saved; its choices are used.
    features : mapping of str to GeoJSON feature
        The site's features with the changes.
    zone_id : str
    depot : Depot

    Raises
    ------
    InputRefused
        When there is no such zone, or the choices or a card cannot be read.
    """
    zone = features.get(zone_id)
    if zone is None or not is_zone(zone):
        raise InputRefused(f"there is no zone {zone_id[:40]!r}", remedy="Choose a zone.")
    found = choices(
        Opened(site, folder), depot=depot.given, personal=depot.personal, today=depot.today
    )
    near = site.with_features(list(_near(features, zone_id)))
    return _told(near, found, zone_id, depot.today, _sunlight(folder, site, near))


def _near(features: Keyed, zone_id: str) -> Iterator[dict[str, Any]]:
    outlines = {key: outline_of(each, key) for key, each in features.items() if is_zone(each)}
    meets = shapely.intersects(np.array(list(outlines.values()), dtype=object), outlines[zone_id])
    beside = {key for key, met in zip(outlines, meets, strict=True) if met}
    for key, each in features.items():
        if not is_zone(each):
            yield dict(each)
        elif key in beside:
            yield {**each, "properties": {**each["properties"], "zone_id": key}}


def _sunlight(folder: Folder, site: Site, near: Site) -> list[Sunlight]:
    """Return the hours of sun of the site as saved, as if they were those of what is near."""
    was, now = (
        facts_of(each.zones, each.features, each.heights, each.surface) for each in (site, near)
    )
    return [replace(each, facts=now) for each in kept(folder) if not changed(each.facts, was)]


def _told(
    site: Site,
    specification: Specification,
    zone_id: str,
    today: dt.date,
    sun: list[Sunlight],
) -> Outlook:
    made = plan(site, specification, today=today, setting_out=False, sun=sun)
    rows = steps(made.steps[made.steps["zone_id"] == zone_id], "metric").get(zone_id, [])
    zone = dict(zone_rows(made.zones))[zone_id]
    reasons = [_reason(step, zone) for step in rows]
    about = [text for text in made.warnings if zone_id in text]
    return Outlook([_sentence(step) for step in rows], reasons, [*about, *made.cautions])


def _sentence(step: Step) -> str:
    said = [each for each in (step.means, step.amounts, step.area, step.water, step.wait) if each]
    head = step.title if step.status == DO else f"{step.title} ({known('status', step.status)})"
    body = f"{head}: {'; '.join(said)}." if said else f"{head}."
    return f"{body} {step.remark}".strip()


def _reason(step: Step, zone: dict[str, Any]) -> str:
    if not step.rule:
        return ""
    sentence, standing, cited = why.reason(step.rule, why.over(zone, step.row))
    return f"{sentence} [{': '.join(each for each in (standing, '; '.join(cited)) if each)}]"
