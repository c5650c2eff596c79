"""Many sites from a folder of site folders: each planned by itself, what is done already kept."""

from __future__ import annotations

import datetime as dt
import os
from collections.abc import Iterator, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple, Protocol

from lawnmap.agronomy.unit_systems import METRIC
from lawnmap.errors import InputRefused
from lawnmap.jobs.sites import resting
from lawnmap.jobs.sites.finding import Found, Search, labels, search
from lawnmap.jobs.sites.kept import Kept
from lawnmap.jobs.sites.planned import Task, Trouble, Worked, of_death, worked
from lawnmap.jobs.sites.results import Place, Results, results
from lawnmap.jobs.sites.workers import side_by_side
from lawnmap.store import depot as depots

FEW = 8  # sites that are worked out by one process before another has started


class Watcher(Protocol):
    """Who is told how far the work is."""

    def begin(self, sites: int, kept: int) -> None:
        """Hear how many sites there are, and how many of them were worked out before."""

    def done(self, trouble: Trouble | None) -> None:
        """Hear that one more is done, or why it is not."""

    def sharing(self, depot: str, sites: int) -> None:
        """Hear that days are looked for that the sites of a depot share; it may take its time."""


@dataclass(frozen=True)
class Wanted:
    """What is asked of a run.

    Attributes
    ----------
    today : date
    personal : Path
        The person's own folder, where a depot is looked for last.
    depot : Path or None
        The depot of all sites; else each has the nearest above it.
    workers : int
        Processes; 0 is as many as are worth while.
    afresh : bool
        Whether what was worked out before is forgotten.
    apart : bool
        Whether each site keeps the days of its own plan; else the sites of a depot share its days.
    units : str
        Units that papers are read in.
    """

    today: dt.date
    personal: Path
    depot: Path | None = None
    workers: int = 0
    afresh: bool = False
    apart: bool = False
    units: str = METRIC


class Planned(NamedTuple):
    """What the sites come to, the folder of each depot by what it is called, and what to note."""

    results: Results
    depots: dict[str, Path | None]
    notes: list[str]


def looked_for(source: Path, *, leave_out: Path) -> Search:
    """Find the sites below a folder.

    Returns
    -------
    Search

    Raises
    ------
    InputRefused
        When there is none.
    """
    looked = search(source, leave_out=leave_out)
    if not looked.found:
        raise InputRefused(
            "holds no site",
            file=source.name,
            remedy="Give a folder with site folders below it, or make one with lawnmap start.",
        )
    return looked


def planned(looked: Search, source: Path, out: Path, wanted: Wanted, watcher: Watcher) -> Planned:
    """Plan all sites that were found below a folder.

    Parameters
    ----------
    looked : Search
    source, out : Path
        The folder of site folders, and that of results, which the caller holds the lock of.
    wanted : Wanted
    watcher : Watcher

    Returns
    -------
    Planned

    Raises
    ------
    InputRefused
        When there is no such depot. What is wrong with one site is in the results.
    WriteFailed
        When the disk does not take what is kept.
    """
    of_site = {each.site_id: _depot(each, wanted) for each in looked.found}
    named = labels(of_site.values(), source)
    places = {
        each.site_id: Place(each.site_id, each.region, named[of_site[each.site_id]])
        for each in looked.found
    }
    tasks, unread = _prepared(looked, of_site, wanted)
    kept = Kept(out)
    if wanted.afresh:
        kept.forget()
    done: dict[str, Worked] = dict(unread)
    for task in tasks:
        part = kept.read(task.site_id, task.digest())
        if part is not None:
            done[task.site_id] = Worked(part)
    left = [task for task in tasks if task.site_id not in done]
    watcher.begin(len(places), len(tasks) - len(left))
    for found in unread.values():
        watcher.done(found.trouble)
    for task, found in _worked(left, wanted.workers):
        if found.part is not None and found.digest:
            kept.write(task.site_id, found.digest, found.part)
        done[task.site_id] = found
        watcher.done(found.trouble)
    kept.forget(but=places)
    joined = results(
        ((places[each], found) for each, found in done.items()),
        watcher.sharing,
        apart=wanted.apart,
    )
    return Planned(joined, {name: folder for folder, name in named.items()}, _notes(looked))


def workers_for(sites: int, asked: int) -> int:
    """Return how many processes work on some sites; 0 asks for as many as are worth while."""
    return asked or max(1, min(os.cpu_count() or 1, sites // FEW))


def _worked(tasks: Sequence[Task], workers: int) -> Iterator[tuple[Task, Worked]]:
    with closing(side_by_side(worked, tasks, workers_for(len(tasks), workers))) as running:
        for task, found in running:
            yield task, found or Worked(trouble=of_death(task.site_id))


def _prepared(
    looked: Search, of_site: Mapping[str, Path | None], wanted: Wanted
) -> tuple[list[Task], dict[str, Worked]]:
    """Return the sites to be worked out, and those that cannot be opened."""
    run = resting.of_run(wanted.today)
    tasks, unread = [], {}
    for each in looked.found:
        if each.problem:
            unread[each.site_id] = Worked(trouble=_closed(each))
        else:
            depot = of_site[each.site_id]
            tasks.append(Task(each.site_id, each.path, depot, wanted.personal, wanted.today, run))
    return tasks, unread


def _depot(found: Found, wanted: Wanted) -> Path | None:
    where = depots.find(found.path, given=wanted.depot, personal=wanted.personal)
    return None if where is None else where.resolve()


def _closed(found: Found) -> Trouble:
    remedy = "Ask for the right to read it."
    return Trouble(
        found.site_id, found.problem, InputRefused.exit_code, found.path.name, remedy=remedy
    )


def _notes(looked: Search) -> list[str]:
    told = []
    if looked.links:
        told.append(
            f"{_folders(looked.links)} that a link leads to, not looked into: give them as a "
            "source of their own."
        )
    if looked.deeper:
        told.append(f"{_folders(looked.deeper)} nested too deep, not looked into.")
    return told


def _folders(count: int) -> str:
    return "1 folder" if count == 1 else f"{count} folders"
