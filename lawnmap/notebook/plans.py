"""The whole plan of a site, and what is handed over of it: shown in a notebook, or as a file."""

from __future__ import annotations

from os import PathLike
from pathlib import Path
from typing import Any

from lawnmap.errors import InputRefused, UsageProblem
from lawnmap.exports.wording.worded import worded
from lawnmap.jobs import asked
from lawnmap.jobs import export as job
from lawnmap.jobs.opening import Opened
from lawnmap.jobs.plan import plan as work_out
from lawnmap.jobs.ready import Site
from lawnmap.model import Plan
from lawnmap.notebook.page import Page
from lawnmap.notebook.telling import note, told_for_python
from lawnmap.plugins import load

OWNER = "owner"
EMPTY = "There is no zone on this site yet: read a site plan into it with lawnmap.read."


@told_for_python
def plan(site: Site, *, prove_seconds: float = 0.0, setting_out: bool | None = None) -> Plan:
    """Work out the plan of a site: every step, quantity, day, pack and load.

    Parameters
    ----------
    site : Site
        As :func:`lawnmap.open_site` or :func:`lawnmap.read` returned it.
    prove_seconds : float
        Time to look for better days and prove that there are none [s]; needs lawnmap[schedule].
    setting_out : bool, optional
        Whether pass lines are wanted; by default a large site has none.

    Returns
    -------
    Plan
        Its tables are ``zones``, ``steps``, ``totals``, ``loads`` and those in ``tables``.

    Raises
    ------
    InputRefused
        When choices rule each other out, or an outline is not sound.
    UsageProblem
        When it is given something else than a site.

    Examples
    --------
    >>> import lawnmap, warnings
    >>> warnings.simplefilter("ignore", lawnmap.Note)
    >>> site = lawnmap.sample(today="2026-09-07")
    >>> one = site.with_zones(site.zones.loc[["main"]])
    >>> made = lawnmap.plan(one, setting_out=False)
    >>> made.totals.loc[made.totals["operation"] == "overseeding", ["amount", "unit"]].shape
    (1, 2)
    """
    if not isinstance(site, Site):
        raise UsageProblem(
            f"a plan is of a site, not of a {type(site).__name__}",
            remedy="Open one with lawnmap.open_site, or read a table with lawnmap.read.",
        )
    made = work_out(
        site,
        site.specification,
        site.calendar,
        today=site.today,
        prove_seconds=prove_seconds,
        sun=site.sun,
        setting_out=setting_out,
    )
    note(worded(made, made.specification.choice("units")).warnings)
    if made.zones.empty:
        note([EMPTY])
    return made


@told_for_python
def show(plan: Plan, to: str = "map", *, audience: str = OWNER, **chosen: Any) -> Page:
    """Return a page of a plan, which a notebook shows under the cell: the map, unless told.

    Parameters
    ----------
    plan : Plan
    to : str
        Any export that is a page: map, summary, quote, sheet, shopping, loading, notice, …
    audience : str
        Who it is for: public, client, crew or owner. In your own notebook that is you: give
        another before you hand the notebook on.
    **chosen
        ``units``, ``language``, ``also``, ``schematic``, ``backdrop``, ``before``, ``photos`` and
        ``basemap``, as the options of ``lawnmap export``.

    Returns
    -------
    Page
        Self-contained; ``save`` writes it.

    Raises
    ------
    InputRefused
        For an export that is no page, and for what is not there.
    PluginProblem
        For an unknown export.
    UsageProblem
        For an argument that is not known, or anything else than a plan.

    Examples
    --------
    >>> import lawnmap, warnings
    >>> warnings.simplefilter("ignore", lawnmap.Note)
    >>> site = lawnmap.sample(today="2026-09-07")
    >>> one = site.with_zones(site.zones.loc[["main"]])
    >>> made = lawnmap.plan(one, setting_out=False)
    >>> lawnmap.show(made, "notice", audience="public")  # doctest: +ELLIPSIS
    <Page notice.html for public, ... kB>
    """
    if load("exports", to).SUFFIX != job.PAGE:
        raise InputRefused(
            f"{to} is no page, so it cannot be shown",
            done="",
            remedy="Write it to a file with lawnmap.export.",
        )
    return Page(_made(plan, to, audience, chosen, Path(f"{to}{job.PAGE}"))[0])


@told_for_python
def export(
    plan: Plan,
    to: str,
    path: str | PathLike[str],
    *,
    audience: str | None = None,
    force: bool = True,
    **chosen: Any,
) -> Path:
    """Write a plan to a file: a map, a paper, its PDF, a table or a GIS file.

    Parameters
    ----------
    plan : Plan
    to : str
        map, summary, quote, sheet, shopping, loading, notice, environment, visit, calendar, svg,
        xlsx, csv, gpx, kml, geojson or gpkg, or an export of a plugin.
    path : path
        The file. A name that ends in .pdf gets a page as a PDF.
    audience : str, optional
        Who it is for; otherwise whom that export is meant for.
    force : bool
        Whether a file that is there already is replaced, as a cell that is run again does.
    **chosen
        As :func:`show` takes them, and ``crs``, ``scale``, ``sheet``, ``landscape``.

    Returns
    -------
    Path

    Raises
    ------
    InputRefused, PluginProblem
        As :func:`show` raises them.
    WriteFailed, UsageProblem
        When the disk does not take the file, or it is there already and not to be replaced.
    """
    target = Path(path)
    (made,) = _made(plan, to, audience, chosen, target)
    written, warnings = job.write(made, None, target, force=force)
    note(warnings)
    return written


def _made(
    plan: Plan, to: str, audience: str | None, chosen: dict[str, Any], target: Path
) -> list[job.Rendered]:
    """Return an export as the command line makes it, with what was asked for by name."""
    _refuse_unknown(chosen)
    if not isinstance(plan, Plan):
        raise UsageProblem(
            f"a paper is of a plan, not of a {type(plan).__name__}",
            remedy="Work one out: plan = lawnmap.plan(site).",
        )
    wanted = asked.Asked(**{key: chosen.pop(key) for key in asked.OPTIONS if key in chosen})
    folder = plan.site.folder if isinstance(plan.site, Site) else None
    schematic = bool(chosen.get("schematic"))
    more, told = asked.fields(wanted, Opened(plan.site, folder), plan, (to,), schematic=schematic)
    note([*told, *job.untranslated(plan, chosen.get("language", ""))], above=5)
    shown = asked.shown_by(to, more)
    return job.papers(plan, to, target, audience=audience, **chosen, **shown)


TAKEN = ("units", "language", "also", "schematic", "crs", "scale", "sheet", "landscape")


def _refuse_unknown(chosen: dict[str, Any]) -> None:
    known = (*TAKEN, *asked.OPTIONS)
    for name in chosen:
        if name not in known:
            raise UsageProblem(
                f"{name!r} is not among what can be asked for",
                remedy=f"There are: {', '.join(known)}.",
            )
