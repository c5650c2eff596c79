"""What the plan of a site rests on, as one digest: the same digest means the same plan."""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Iterator
from importlib.metadata import version
from pathlib import Path

from lawnmap import plugins
from lawnmap.errors import InputRefused
from lawnmap.files.admit import read_regular
from lawnmap.jobs.issue import reference_digest
from lawnmap.store import calibrations, depot, heights, issued, sunlight, surface
from lawnmap.store.folder import Folder

LENGTH = 32  # hexadecimal digits: no two of any number of sites will ever agree by chance


def of_run(today: dt.date, *choices: str) -> str:
    """Return a digest of what all sites of a run rest on.

    Parameters
    ----------
    today : date
    *choices : str
        What else was chosen for the run.
    """
    brought = sorted(
        f"{name} {point.value} {point.dist.version if point.dist else ''}"
        for name, points in plugins.available("treatments").items()
        for point in points
    )
    parts = [version("lawnmap"), reference_digest(), today.isoformat(), *choices, *brought]
    return _digest(iter([each.encode("utf-8") for each in parts]))


def of_site(folder: Folder, depot_folder: Path | None, run: str) -> str:
    """Return a digest of everything that one site's plan rests on.

    Surveys, photos and replies are not among it: a plan is worked out from the site as it stands.

    Parameters
    ----------
    folder : Folder
    depot_folder : Path or None
        As :func:`lawnmap.store.depot.find` found it.
    run : str
        As :func:`of_run` gives it.
    """
    return _digest(_contents(folder, depot_folder, run))


def _contents(folder: Folder, depot_folder: Path | None, run: str) -> Iterator[bytes]:
    yield run.encode("ascii")
    names = (heights.NAME, surface.NAME)
    own = [folder.site, folder.specification, folder.record, folder.closed, folder.weather]
    for path in (*own, *(folder.path / name for name in names), folder.journal):
        yield _bytes(path)
    if depot_folder is not None:
        for name in (depot.PRODUCTS, depot.MACHINES, calibrations.NAME):
            yield _bytes(depot_folder / name)
    for each in issued.listed(folder)[:1]:  # its days are promised
        yield each.path.name.encode("utf-8")
        for name in (issued.PLAN, issued.FILES):
            yield _bytes(each.path / name)
    if folder.cache.is_dir():
        for path in sorted(folder.cache.iterdir()):
            if sunlight.NAME.fullmatch(path.name):
                yield path.name.encode("ascii") + _bytes(path)


def _bytes(path: Path) -> bytes:
    """Return the bytes of a file; why there are none when it cannot be read."""
    try:
        return b"+" + read_regular(path, limit=issued.LARGEST)
    except InputRefused as error:
        return b"-" + error.problem.encode("utf-8")


def _digest(contents: Iterator[bytes]) -> str:
    total = hashlib.sha256()
    for each in contents:
        total.update(hashlib.sha256(each).digest())
    return total.hexdigest()[:LENGTH]
