"""The job ``assess``: moss, thatch and whatever else was seen, from options or a sheet."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from lawnmap.errors import InputRefused
from lawnmap.jobs.sheet import rows
from lawnmap.model import Site
from lawnmap.processing.editing import assess as step
from lawnmap.store import site as site_store
from lawnmap.store.folder import find

Facts = Mapping[str, Mapping[str, Any]]


@dataclass(frozen=True)
class AssessReply:
    """A site with what was seen on it."""

    site: Site
    changed: tuple[str, ...]
    saved: bool
    warnings: tuple[str, ...] = ()


def assess(path: Path, facts: Facts, *, sheet: str = "", dry_run: bool = False) -> AssessReply:
    """Put facts on zones and save.

    Parameters
    ----------
    path : Path
        A site folder.
    facts : mapping of zone_id to mapping of column to value
        None or empty text takes a fact away.
    sheet : str
        Name of the sheet that the facts come from, for messages.
    dry_run : bool
        Check and save nothing.

    Returns
    -------
    AssessReply

    Raises
    ------
    InputRefused
        For an unknown zone or column, or a value that does not fit; nothing is saved then.
    """
    folder = find(path)
    before = site_store.load(folder)
    try:
        after = step.assess(before, facts)
    except InputRefused as error:
        raise error.within(file=sheet) from error.__cause__
    changed = tuple(
        str(new["properties"]["zone_id"])
        for old, new in zip(before.document["features"], after.document["features"], strict=True)
        if old["properties"] != new["properties"]
    )
    if dry_run or not changed:
        return AssessReply(after, changed, saved=False)
    saved = site_store.save(folder, after)
    return AssessReply(saved.site, changed, saved=True, warnings=saved.warnings)


def from_sheet(path: Path) -> dict[str, dict[str, Any]]:
    """Return facts from a CSV sheet with a column ``zone_id`` and any fact columns.

    An empty cell says nothing; a cell holding ``-`` takes the fact away.

    Raises
    ------
    InputRefused
        When the sheet has no zone_id, names a zone twice, or is not a table.
    """
    name, found = rows(path, ("zone_id",))
    facts: dict[str, dict[str, Any]] = {}
    for row in found:
        zone_id = row.cells.pop("zone_id").strip()
        place = f"line {row.line}"
        if not zone_id:
            raise InputRefused("has no zone_id", file=name, place=place, remedy="Fill it in.")
        if zone_id in facts:
            raise InputRefused(
                f"zone {zone_id} stands twice", file=name, place=place, remedy="Keep one."
            )
        facts[zone_id] = {
            column: None if value.strip() == "-" else value
            for column, value in row.cells.items()
            if value.strip()
        }
    return facts


def from_pairs(zone_ids: tuple[str, ...], pairs: tuple[str, ...]) -> dict[str, dict[str, Any]]:
    """Return facts from texts such as ``moss_rating=3`` for each of the zones.

    Raises
    ------
    InputRefused
        For a text without an equals sign.
    """
    facts: dict[str, Any] = {}
    for pair in pairs:
        name, equals, value = pair.partition("=")
        if not equals:
            raise InputRefused(f"{pair!r} is not COLUMN=VALUE", remedy="Write moss_rating=3.")
        facts[name.strip()] = value.strip() or None
    return {zone_id: dict(facts) for zone_id in zone_ids}
