"""The ways to a site: a site folder, a new one, a site plan or a table of one's own, the sample."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import replace
from os import PathLike
from pathlib import Path

import click
import geopandas as gpd

from lawnmap.errors import UsageProblem
from lawnmap.jobs import read as job
from lawnmap.jobs import ready
from lawnmap.jobs.opening import Opened
from lawnmap.jobs.read_frame import read_frame
from lawnmap.jobs.reading import Reading
from lawnmap.jobs.ready import Site
from lawnmap.jobs.start import sample_folder
from lawnmap.jobs.start import start as start_job
from lawnmap.notebook.telling import note, told_for_python
from lawnmap.store.folder import find

Place = str | PathLike[str]
Day = dt.date | str


@told_for_python
def open_site(path: Place, *, depot: Place | None = None, today: Day | None = None) -> Site:
    """Open a site folder.

    Parameters
    ----------
    path : path
        The folder, or the site file in it.
    depot : path, optional
        Folder with your products.toml and machines.toml; otherwise the nearest above the site.
    today : date or str, optional
        The day to plan for, such as ``"2026-09-07"``; otherwise the day it is on the site.

    Returns
    -------
    Site

    Raises
    ------
    InputRefused, SiteDamaged
        When there is no such site, or a file of it cannot be read.

    Examples
    --------
    >>> import lawnmap
    >>> lawnmap.open_site("no such garden")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
        ...
    lawnmap.errors.InputRefused: no such garden: there is no such site. Nothing was changed. ...
    """
    site = ready.open_site(Path(path), personal=_personal(), depot=_path(depot), day=_day(today))
    note(site.warnings)
    return site


@told_for_python
def read(
    plan: Place | gpd.GeoDataFrame,
    *,
    layer: str | tuple[str, ...] = (),
    crs: str | None = None,
    units: str | None = None,
    kind: str | None = None,
    rename: Mapping[str, str] | None = None,
    control: Place | None = None,
    fit: str = Reading.fit,
    repair: bool = False,
    skip_bad: bool = False,
    title: str = "",
    into: Place | None = None,
    depot: Place | None = None,
    today: Day | None = None,
) -> Site:
    """Read a site plan: a file of any kind that ``lawnmap read`` takes, or a GeoDataFrame.

    Parameters
    ----------
    plan : path or GeoDataFrame
        Of a GeoDataFrame each row is a feature and each column a fact, under the names of
        ``docs/columns.md`` or renamed to them; columns of other names are kept.
    layer : str or tuple of str, optional
        Layers of a file, each a name or ``NAME=KIND``; ``"*"`` for all.
    crs : str, optional
        CRS of a plan that names none, such as ``EPSG:27700``; ``local`` for one without a place.
    units : str, optional
        Unit of a plan that does not say: m, cm, mm, ft, in or yd.
    kind : str, optional
        What the features are when the plan does not say: zone, tree, water, …
    rename : mapping of str to str, optional
        Columns of a GeoDataFrame that have other names: ``{"MOSS": "moss_rating"}``.
    control : path, optional
        Sheet of places known in the plan and on the earth, of a file.
    fit : str
        What is fitted to them: ``similarity`` or ``affine``.
    repair : bool
        Whether outlines that cross themselves are mended.
    skip_bad : bool
        Whether features that are wrong are left out.
    title : str, optional
        Of the site, on maps and papers.
    into : path, optional
        A site folder to merge the plan into, which is saved; else nothing is.
    depot, today : optional
        As :func:`open_site` takes them.

    Returns
    -------
    Site
        The plan alone, or the whole site that it was merged into.

    Raises
    ------
    CRSNeeded, LayerNeeded
        When the plan does not say which.
    InputRefused
        With file, feature or row, and column of what is wrong. Nothing was changed.
    UsageProblem
        When an argument is for another kind of plan, or is none of its words.

    Examples
    --------
    >>> import geopandas, shapely, lawnmap
    >>> own = geopandas.GeoDataFrame(
    ...     {"plot": ["A"], "MOSS": [3]},
    ...     geometry=[shapely.box(500000, 5700000, 500020, 5700010)],
    ...     crs="EPSG:32630",
    ... )
    >>> site = lawnmap.read(own, rename={"plot": "zone_id", "MOSS": "moss_rating"}, title="Plots")
    >>> site.zones.pipe(lawnmap.measure, site)["plan_area_m2"].round(2).to_dict()
    {'A': 200.16}
    """
    layers = (layer,) if isinstance(layer, str) else tuple(layer)
    reading = Reading(layers, crs, units, kind, repair, skip_bad, _path(control), fit)
    home = _path(into)
    if title and home:
        raise UsageProblem(
            "title= is for a plan that goes into no site folder", remedy="Leave title= out."
        )
    if isinstance(plan, gpd.GeoDataFrame):
        if layers or control is not None:
            raise UsageProblem("layer= and control= are for files", remedy="Leave them out.")
        reply = read_frame(plan, reading, rename=rename or {}, into=home)
    elif rename or not isinstance(plan, (str, PathLike)):
        raise UsageProblem(
            f"a plan is a path or a GeoDataFrame, not a {type(plan).__name__}"
            if not isinstance(plan, (str, PathLike))
            else "rename= is for a GeoDataFrame",
            remedy="Read the table with geopandas.read_file first.",
        )
    else:
        reply = job.read(Path(plan), reading, into=home)
    made = reply.site.with_header(title=title) if title else reply.site
    opened = Opened(made, find(home) if home else None, tuple(reply.warnings))
    note(opened.warnings)
    return ready.ready(opened, personal=_personal(), depot=_path(depot), day=_day(today))


@told_for_python
def start(path: Place, *, title: str = "", timezone: str = "UTC", sample: bool = False) -> Site:
    """Make a new site folder.

    Parameters
    ----------
    path : path
        The folder; made when it is not there.
    title : str
        The site's public title; the folder's name when not given.
    timezone : str
        Where the site is, such as ``Europe/London``.
    sample : bool
        Whether to put the invented sample site into it.

    Returns
    -------
    Site

    Raises
    ------
    InputRefused
        When the folder holds a site already, or the time zone is not known.
    WriteFailed
        When the disk does not take it.
    """
    made = start_job(Path(path), title=title, timezone=timezone, sample=sample)
    note(made.warnings)
    return ready.open_site(made.folder.path, personal=_personal())


@told_for_python
def sample(*, today: Day | None = None) -> Site:
    """Open the invented sample site that comes with lawnmap, to try things on.

    Parameters
    ----------
    today : date or str, optional
        As :func:`open_site` takes it.

    Returns
    -------
    Site
        Without a folder: nothing can be saved in it by mistake.

    Examples
    --------
    >>> import lawnmap
    >>> len(lawnmap.sample().zones)
    12
    """
    folder = Path(str(sample_folder()))
    site = ready.open_site(folder, personal=folder, depot=folder, day=_day(today))
    return replace(site, folder=None)


def _personal() -> Path:
    return Path(click.get_app_dir("lawnmap"))


def _path(place: Place | None) -> Path | None:
    return None if place is None else Path(place)


def _day(day: Day | None) -> dt.date | None:
    if isinstance(day, dt.datetime):  # a Timestamp of pandas is one
        return day.date()
    if day is None or isinstance(day, dt.date):
        return day
    if not isinstance(day, str):
        raise UsageProblem(f"{day!r} is not a date", remedy="Write it as text: YYYY-MM-DD.")
    try:
        return dt.date.fromisoformat(day)
    except ValueError as error:
        raise UsageProblem(f"{day[:40]!r} is not a date", remedy="Write YYYY-MM-DD.") from error
