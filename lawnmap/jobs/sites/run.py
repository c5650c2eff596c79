"""The job ``sites`` for a folder of them: plan all, and write what they come to."""

from __future__ import annotations

import contextlib
import datetime as dt
import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import pandas as pd

from lawnmap.errors import InputRefused, LawnmapError, UsageProblem
from lawnmap.jobs.choices import owned
from lawnmap.jobs.sites import folders
from lawnmap.jobs.sites.finding import as_text
from lawnmap.jobs.sites.folders import Wanted, Watcher
from lawnmap.jobs.sites.kept import PARTS, Kept
from lawnmap.jobs.sites.papers import beside
from lawnmap.jobs.sites.planned import Trouble
from lawnmap.jobs.sites.results import Results
from lawnmap.jobs.sites.written import written
from lawnmap.model import Specification
from lawnmap.processing.many.depots import depot_machines, depot_shopping
from lawnmap.processing.many.totals_by import totals_by
from lawnmap.store import specification
from lawnmap.store.folder import SITE


@dataclass(frozen=True)
class Reply:
    """What many sites come to, and where it was written.

    Attributes
    ----------
    tables : dict of str to DataFrame
        ``sites``, ``site_needs``, ``site_hours``, ``totals_by``, ``depot_shopping`` and
        ``depot_machines`` of the schema.
    troubles : tuple of Trouble
        Why sites could not be planned, by their ids.
    currency : str
        Of all costs; empty when it is not one.
    files : tuple of Path
    notes : tuple of str
        What a person should know.
    table : bool
        Whether the sites come from a table, so that there is no folder of a site to look into.
    """

    tables: Mapping[str, pd.DataFrame]
    troubles: tuple[Trouble, ...]
    currency: str
    files: tuple[Path, ...]
    notes: tuple[str, ...]
    table: bool = False


def run(source: Path, out: Path, wanted: Wanted, watcher: Watcher, *, force: bool = False) -> Reply:
    """Plan all sites of a source, and write the tables of what they come to.

    Parameters
    ----------
    source : Path
        A folder of site folders.
    out : Path
        The folder of results; it is made when it is not there.
    wanted : Wanted
    watcher : Watcher
        Who is told how far the work is.
    force : bool
        Whether results may go into a folder that holds something else.

    Returns
    -------
    Reply

    Raises
    ------
    InputRefused
        When there is no site.
    UsageProblem
        When the folder of results is not fit to be one.
    Busy
        When another run writes there.
    WriteFailed
        When the disk does not take the results.
    """
    if not os.path.isdir(source):  # noqa: PTH112 - never raises, whatever the name
        raise InputRefused(
            "is not a folder" if os.path.lexists(source) else "there is no such folder or table",
            file=source.name,
            remedy="Give a folder with site folders below it, or a table of zones.",
        )
    refuse_out(out, force=force)
    looked = folders.looked_for(source, leave_out=out)
    with Kept(out).held():
        results, depots, notes = folders.planned(looked, source, out, wanted, watcher)
        tables = _tables(results, cards(depots, wanted.today))
        files, told = written(
            {**tables, **results.crew},
            out,
            title=as_text(source.resolve().name),
            today=wanted.today,
            units=wanted.units,
            choices={"money": {"currency": results.currency}},
            beside=beside(((each.site_id, each.path) for each in looked.found), out),
        )
    return Reply(tables, results.troubles, results.currency, files, (*notes, *results.told, *told))


def _tables(
    results: Results, specifications: Mapping[str, Specification]
) -> dict[str, pd.DataFrame]:
    """Return all tables, by their names in the schema."""
    return {
        "sites": results.sites,
        "site_needs": results.needs,
        "site_hours": results.hours,
        "totals_by": totals_by(results.needs, results.hours),
        "depot_shopping": depot_shopping(results.needs, specifications),
        "depot_machines": depot_machines(results.hours, specifications, results.out),
    }


def cards(depots: Mapping[str, Path | None], today: dt.date) -> dict[str, Specification]:
    """Return the cards and machines of each depot, with the choices of a new site.

    A depot that cannot be read has none: each of its sites says so already.
    """
    found = {}
    for name, folder in depots.items():
        with contextlib.suppress(LawnmapError):
            products, machines = owned(folder, today=today)
            found[name] = specification.parse(b"", products=products, machines=machines)
    return found


def refuse_out(out: Path, *, force: bool) -> None:
    """Refuse a folder for results that lies in a site, or that holds what we did not make.

    Raises
    ------
    UsageProblem
    """
    problem, remedy = "", "Give -o another folder."
    whole = out.resolve()
    try:
        inside = [each for each in (whole, *whole.parents) if (each / SITE).exists()]
        if inside:
            problem = f"lies in the site {inside[0].name}, which holds facts"
        elif out.exists() and not out.is_dir():
            problem = "is not a folder"
        elif not force and out.is_dir() and any(out.iterdir()) and not (out / PARTS).is_dir():
            problem = "holds something else already"
            remedy = "Give -o another folder, or --force to write beside it."
    except OSError as error:
        problem = f"cannot be looked into ({error.strerror})"
    if problem:
        raise UsageProblem(problem, file=out.name, done="Nothing was written.", remedy=remedy)
