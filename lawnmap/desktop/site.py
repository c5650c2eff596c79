"""A site folder of a step's own: what a person's site folder says, without its zones."""

from __future__ import annotations

import json
import os
import shutil
import sys
from collections.abc import Collection
from pathlib import Path
from typing import Any

from . import narrowing
from .problem import Problem

SITE = "site.geojson"
# Choices and records. Label cards and machines are read from the depot, where they are.
COPIED = (
    "specification.toml",
    "record.csv",
    "closed.csv",
    "weather.csv",
    "heights.csv",
    "surface.json",
)
FOLDERS = ("surveys", ".lawnmap/cache")
JOURNAL = ".lawnmap/journal"
PRODUCTS = "products.toml"
NEW = {"format": 1, "timezone": "UTC", "placed": True, "revision": 1}
ROW = "lawnmap_row"  # counts the rows of a layer, so that what is found goes back to them


def made(folder: Path, given: Path | None, title: str, *, whole: bool = False) -> Path:
    """Make a site folder for a step and return it.

    Parameters
    ----------
    folder : Path
        A private folder that goes away with the step.
    title : str
        Of the site, when no site folder gives one.
    given : Path or None
        A person's site folder. Its choices, records and features are taken over.
    whole : bool
        Whether its zones are taken over too, since there is no layer of them.

    Raises
    ------
    Problem
        When one of its files is a link, or a change of it was cut off.
    """
    site = folder / "site"
    site.mkdir()
    header = {**NEW, "title": title}
    _write(site, {"type": "FeatureCollection", "lawnmap": header, "features": []})
    if given is None:
        return site
    if (given / JOURNAL).exists():
        raise Problem(
            "has a change that was cut off", file=given.name,
            remedy="Run lawnmap check on it once, which finishes it.",
        )  # fmt: skip
    for name in (*COPIED, SITE):
        if (given / name).is_symlink():  # it may lead anywhere, and without it a plan is wrong
            raise Problem("is a link", file=name, remedy="Put in its place what it leads to.")
        _copy(given / name, site / name)
    for name in FOLDERS:
        if (given / name).is_dir() and not (given / name).is_symlink():
            (site / name).mkdir(parents=True)
            for each in (given / name).iterdir():
                _copy(each, site / name / each.name)
    if whole:
        return site
    try:
        found = json.loads((site / SITE).read_text(encoding="utf-8-sig"))
        kept = [each for each in found["features"] if each["properties"].get("feature") != "zone"]
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return site  # lawnmap says what is wrong with it
    _write(site, {**found, "features": kept})
    return site


def zone_ids(site: Path) -> dict[int, str]:
    """Return the zone_id of each row of the layer that was read in."""
    return {
        int(each["properties"][ROW]): str(each["properties"]["zone_id"])
        for each in features(site)
        if each["properties"].get("feature") == "zone" and ROW in each["properties"]
    }


def narrow(site: Path, ids: Collection[str]) -> list[str]:
    """Take choices and closed days of zones that are not there out, and return those zones."""
    left: dict[str, None] = {}
    for name, narrowed in (
        ("specification.toml", narrowing.specification),
        ("closed.csv", narrowing.closed_days),
    ):
        path = site / name
        try:
            text = path.read_bytes().decode("utf-8-sig")
        except (OSError, UnicodeDecodeError):
            continue  # lawnmap says what is wrong with it
        shorter, names = narrowed(text, ids)
        if names:
            path.write_bytes(shorter.encode("utf-8"))
            left.update(dict.fromkeys(names))
    return list(left)


def features(site: Path) -> list[dict[str, Any]]:
    """Return the features of a site as they stand in its file (GeoJSON)."""
    found = json.loads((site / SITE).read_text(encoding="utf-8-sig"))["features"]
    return list(found)


def depot(given: Path | None, site: Path | None) -> Path | None:
    """Return the folder with the label cards and machines, as lawnmap would find it for a site.

    That which was named; else the nearest from the site folder upward; else the person's own. What
    lies above the temporary folder of a step is never looked at: it may be anybody's.
    """
    if given is not None:
        return given
    here = [] if site is None else [site.resolve(), *site.resolve().parents]
    for folder in (*here, personal()):
        if os.path.lexists(folder / PRODUCTS):
            return folder
    return personal() if personal().is_dir() else None


def personal() -> Path:
    """Return the person's own folder for lawnmap, where each system keeps those of programs."""
    home = Path.home()
    if os.name == "nt":
        return Path(os.environ.get("APPDATA", str(home))) / "lawnmap"
    if sys.platform == "darwin":
        return home / "Library" / "Application Support" / "lawnmap"
    return Path(os.environ.get("XDG_CONFIG_HOME", str(home / ".config"))) / "lawnmap"


def _copy(source: Path, target: Path) -> None:
    if source.is_file() and not source.is_symlink():
        shutil.copyfile(str(source), str(target))


def _write(site: Path, document: dict[str, Any]) -> None:
    text = json.dumps(document, ensure_ascii=False)
    (site / SITE).write_text(text, encoding="utf-8")
