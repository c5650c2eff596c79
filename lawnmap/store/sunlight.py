"""Hours of sun that were worked out: ``.lawnmap/cache/sun-DIGEST.json``, each a whole result.

They are no facts. What cannot be read is as if it were not there, since it can be made again; what
was worked out from other facts goes when something new is kept.
"""

from __future__ import annotations

import datetime as dt
import math
import os
import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import numpy as np

from lawnmap.errors import LawnmapError
from lawnmap.files import json_text
from lawnmap.files.admit import read_regular
from lawnmap.files.alone import put
from lawnmap.files.disk import DISK
from lawnmap.files.seal import seal_of
from lawnmap.grids import GridMap
from lawnmap.light import Sunlight, ZoneSun
from lawnmap.store.folder import Folder

FORMAT = 2
NAME = re.compile(r"sun-[0-9a-f]{12}\.json")
LARGEST = 20_000_000
MOST_KEPT = 12
MOST_CELLS, MOST_OF_ALL = 4_000_000, 20_000_000  # of a map, of all maps together
MOST_H = 24.0
EAST, NORTH = 180.0, 90.0
HUNDREDTHS = 100  # of an hour: as fine as a map is kept
LONGEST = 100  # of what a part of the facts is called, in characters
COARSEST_M = 1_000.0
BROKEN = (LawnmapError, OSError, KeyError, TypeError, ValueError, AttributeError, OverflowError)


def key_of(facts: Mapping[str, str], *choices: object) -> str:
    """Return the name that what was worked out from some facts and choices has."""
    return seal_of([FORMAT, sorted(facts.items()), [str(each) for each in choices]])[:12]


def read(folder: Folder, key: str) -> Sunlight | None:
    """Return what was worked out under a key; None when there is nothing sound."""
    return _read(folder, _path(folder, key))


def kept(folder: Folder | None) -> list[Sunlight]:
    """Return everything sound that was worked out for a site; nothing for no folder."""
    return [each for _, each in _all(folder) if each is not None] if folder else []


def keep(folder: Folder, key: str, sunlight: Sunlight) -> tuple[str, ...]:
    """Keep a result, let go of those from other facts, and return warnings.

    A result that the disk does not take is only told: it can be worked out again.
    """
    if not _inside(folder):
        return ("The hours of sun were not kept: the cache is a link out of the site's folder.",)
    try:
        DISK.do(os.makedirs, folder.cache, exist_ok=True)
        there = list(_all(folder))
        fresh = [path for path, each in there if each and each.facts == sunlight.facts]
        for path, _ in there:
            if path not in fresh or len(fresh) >= MOST_KEPT:
                DISK.remove(path)
        path = _path(folder, key)
        if path.is_symlink():  # a write would follow it
            DISK.remove(path)
        return put(path, encode(sunlight), force=True)
    except (LawnmapError, OSError):
        return ("The hours of sun could not be kept: the plan will not use them.",)


def encode(sunlight: Sunlight) -> bytes:
    """Return the file."""
    value: dict[str, Any] = {
        "format": FORMAT,
        "first": sunlight.first.isoformat(),
        "last": sunlight.last.isoformat(),
        "season": sunlight.season,
        "step_m": sunlight.step_m,
        "latitude": sunlight.latitude,
        "open_h": sunlight.open_h,
        "zones": {
            zone_id: [each.mean_h, each.low_h, each.high_h, each.points]
            for zone_id, each in sunlight.zones.items()
        },
        "maps": [_encoded(each) for each in sunlight.maps],
        "told": list(sunlight.told),
        "facts": dict(sunlight.facts),
    }
    return (json_text.dumps({"seal": seal_of(value), **value}) + "\n").encode("utf-8")


def parse(data: bytes) -> Sunlight:
    """Return what is in the file.

    Raises
    ------
    InputRefused, KeyError, TypeError, ValueError, AttributeError, OverflowError
        When it is not what :func:`encode` wrote.
    """
    value = json_text.loads(data, name="sun")
    if value.pop("seal") != seal_of(value):
        raise ValueError("not as it was written")
    if value["format"] != FORMAT or type(value["season"]) is not bool:
        raise ValueError("of another lawnmap")
    if sum(abs(math.prod(map(int, each["shape"]))) for each in value["maps"]) > MOST_OF_ALL:
        raise ValueError("more than any site has")
    return Sunlight(
        first=dt.date.fromisoformat(value["first"]),
        last=dt.date.fromisoformat(value["last"]),
        season=value["season"],
        step_m=_within(value["step_m"], 0.0, COARSEST_M),
        latitude=_within(value["latitude"], -NORTH, NORTH),
        open_h=_hours(value["open_h"]),
        zones={
            str(zone_id): ZoneSun(_hours(mean), _hours(low), _hours(high), int(points))
            for zone_id, (mean, low, high, points) in value["zones"].items()
        },
        maps=tuple(_decoded(each) for each in value["maps"]),
        told=tuple(str(each) for each in value["told"]),
        facts={_called(part): str(digest) for part, digest in value["facts"].items()},
    )


def _encoded(each: GridMap) -> dict[str, Any]:
    """Return a map by its cells with hours: how far each is from the one before, and its hours."""
    flat = each.cells.ravel()
    cells = np.flatnonzero(np.isfinite(flat))
    return {
        "bounds": list(each.bounds),
        "shape": list(each.cells.shape),
        "gaps": np.diff(cells, prepend=0).tolist(),
        "hundredths": np.round(flat[cells] * HUNDREDTHS).astype(int).tolist(),
    }


def _decoded(value: Mapping[str, Any]) -> GridMap:
    rows, columns = (int(each) for each in value["shape"])
    cells = np.cumsum(np.array(value["gaps"], dtype=np.int64))
    hours = np.array(value["hundredths"], dtype=np.float64) / HUNDREDTHS
    sound = min(rows, columns) > 0 and rows * columns <= MOST_CELLS and len(cells) == len(hours)
    if not sound or ((hours < 0) | (hours > MOST_H)).any():
        raise ValueError("no map")
    if len(cells) and not 0 <= cells.min() <= cells.max() < rows * columns:
        raise ValueError("cells off the map")
    filled = np.full(rows * columns, np.nan, dtype=np.float32)
    filled[cells] = hours
    west, south, east, north = (float(each) for each in value["bounds"])
    if not (-EAST <= west < east <= EAST and -NORTH <= south < north <= NORTH):
        raise ValueError("not on earth")
    return GridMap(filled.reshape(rows, columns), (west, south, east, north))


def _hours(value: Any) -> float:
    return _within(value, 0.0, MOST_H)


def _within(value: Any, least: float, most: float) -> float:
    number = float(value)
    if not least <= number <= most:  # nor is NaN
        raise ValueError("not between its limits")
    return number


def _called(part: str) -> str:
    if len(part) > LONGEST or not part.isprintable():
        raise ValueError("not what lawnmap calls a part")
    return part


def _all(folder: Folder) -> Iterator[tuple[Path, Sunlight | None]]:
    if not _inside(folder):
        return
    try:
        paths = sorted(each for each in folder.cache.iterdir() if NAME.fullmatch(each.name))
    except OSError:
        return
    for path in paths:
        yield path, _read(folder, path)


def _read(folder: Folder, path: Path) -> Sunlight | None:
    try:
        return parse(read_regular(path, limit=LARGEST)) if _inside(folder) else None
    except BROKEN:
        return None


def _inside(folder: Folder) -> bool:
    """Tell whether the cache lies in the site's own folder, whatever links there are."""
    try:
        return folder.path.resolve() in folder.cache.resolve().parents
    except (OSError, RuntimeError):
        return False


def _path(folder: Folder, key: str) -> Path:
    return folder.cache / f"sun-{key}.json"
