"""The job ``check``: is the site sound, what is missing for a plan, what can be gone back to."""

from __future__ import annotations

from dataclasses import dataclass

import geopandas as gpd

from lawnmap.errors import InputRefused, LawnmapError
from lawnmap.jobs.beginning import treatments
from lawnmap.jobs.measure import measure
from lawnmap.model import Site, Specification
from lawnmap.store import backups, issued, recovery
from lawnmap.store import site as site_store
from lawnmap.store.folder import Folder


@dataclass(frozen=True)
class Finding:
    """One thing to look at: in which zone (or none), what, and what to do."""

    zone_id: str
    what: str
    remedy: str


def check(site: Site, specification: Specification) -> list[Finding]:
    """Return what stands between a site and a plan one can rely on, in the order to do it."""
    if site.zones.empty:
        return [Finding("", "there is no zone yet", "Read a site plan into it: lawnmap read.")]
    found = [*_operations(specification)]
    found += [Finding("", text, "") for text in measure(site).warnings]
    for zone_id, zone in site.zones.iterrows():
        found += _zone(str(zone_id), zone)
    return found + _whole(site, specification)


def _operations(specification: Specification) -> list[Finding]:
    """Return what keeps the chosen operations from being planned."""
    try:
        treatments(specification)
    except LawnmapError as error:
        place = f"{error.file}: " if error.file else ""
        return [Finding("", f"{place}{error.problem}", error.remedy)]
    return []


def _zone(zone_id: str, zone: gpd.GeoSeries) -> list[Finding]:
    found = []
    if zone[["moss_cover_pct", "moss_rating"]].isna().all():
        found.append(Finding(zone_id, "moss was not assessed", _assess(zone_id, "moss_rating=0")))
    if zone[["thatch_mm", "thatch_rating"]].isna().all():
        found.append(Finding(zone_id, "thatch was not assessed", _assess(zone_id, "thatch_mm=0")))
    return found


def _assess(zone_id: str, pair: str) -> str:
    name = pair.partition("=")[0]
    return f"lawnmap assess SITE --zone {zone_id} --set {name}=…"


def _whole(site: Site, specification: Specification) -> list[Finding]:
    kinds = set(site.features["feature"])
    found = []
    if not site.placed:
        found.append(
            Finding("", "the site has no place on the earth", "lawnmap place SITE, when known.")
        )
    if not kinds & {"water", "drain"}:
        found.append(
            Finding("", "no water or drain is mapped", "Walk and look; map what there is.")
        )
    if "hidden" not in kinds:
        found.append(
            Finding(
                "",
                "nothing hidden is mapped (wires, irrigation, cables)",
                "Ask, walk and look before blades.",
            )
        )
    if site.surface is not None:
        found.append(
            Finding(
                "",
                f"surface heights ({site.surface.source}, read on {site.surface.read_on}) give "
                "shade in lawnmap sun",
                "Trees grow and fall: look whether they still stand as in that survey.",
            )
        )
    if not specification.products:
        found.append(
            Finding(
                "",
                "there is no label card, so quantities are for pricing only",
                "Write products.toml in your depot: see docs/label_cards.md.",
            )
        )
    return found


def handed_over(folder: Folder | None) -> list[Finding]:
    """Return which files of issued plans are no longer as they were handed over."""
    found = []
    for plan in issued.listed(folder) if folder else []:
        altered = plan.altered()
        if altered:
            what = f"issued/{plan.path.name}: {', '.join(altered)} "
            what += "is" if len(altered) == 1 else "are"
            found.append(
                Finding(
                    "",
                    f"{what} not as handed over",
                    "Put it back from a copy, or issue the plan again: lawnmap issue.",
                )
            )
    return found


def restore(folder: Folder, revision: int | None) -> site_store.Saved:
    """Go back to a backup: the newest good one, or the one of that revision.

    Returns
    -------
    Saved

    Raises
    ------
    InputRefused
        When there is no such backup.
    """
    if revision is None:
        backup = backups.newest_good(folder)
    else:
        found = [each for each in backups.listed(folder) if each.revision == revision]
        backup = found[0] if found else None
    if backup is None:
        raise InputRefused(
            "there is no such backup",
            file=folder.name,
            remedy="List them with lawnmap check SITE --backups.",
        )
    return recovery.restore(folder, backup)


def adopt(folder: Folder) -> site_store.Saved:
    """Take over a site file that another program saved, and return it as it now stands."""
    return recovery.adopt(folder)


def backups_of(folder: Folder) -> list[backups.Backup]:
    """Return the backups there are, the newest first."""
    return backups.listed(folder)
