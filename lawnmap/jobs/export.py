"""The job ``export``: a plan cut down to its audience, rendered and written."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from lawnmap import plugins, schema
from lawnmap.agronomy.unit_systems import METRIC
from lawnmap.errors import InputRefused
from lawnmap.exports.wording.worded import worded
from lawnmap.files.commit import commit
from lawnmap.jobs.pictures import Pictures, shown
from lawnmap.model import Plan
from lawnmap.processing.disclose import disclose
from lawnmap.store.folder import Folder

READ_BY_PEOPLE = ".html"
EXPORTS = "exports"  # in the site folder: made again at will, so replaced without asking


@dataclass(frozen=True)
class Rendered:
    """One exported file, not written yet."""

    name: str
    title: str
    audience: str
    data: bytes


def render(
    plan: Plan,
    to: str,
    *,
    audience: str | None = None,
    units: str = "",
    issued: str = "",
    schematic: bool = False,
    pictures: Pictures = (),
) -> Rendered:
    """Return one export of a plan.

    Parameters
    ----------
    plan : Plan
    to : str
        Name of an export plugin.
    audience : str, optional
        Who it is for; the export's own when not given.
    units : str
        metric, imperial or us; the site's choice when empty. Files for machines stay metric.
    pictures : tuple of (bytes, bounds), optional
        Plan pictures for the map, see :func:`backdrops`; nobody gets one who was not given it.

    Raises
    ------
    PluginProblem, InputRefused
        For an unknown export or audience.
    """
    export: plugins.Export = plugins.load("exports", to)
    audience = audience or export.AUDIENCE
    if audience not in schema.AUDIENCES:
        raise InputRefused(
            f"the audience {audience!r} is not known",
            remedy=f"It can be: {', '.join(schema.AUDIENCES)}.",
        )
    units = units or plan.specification.choice("units") or METRIC
    if export.SUFFIX != READ_BY_PEOPLE:  # columns of a file for machines name their units
        units = METRIC
    paper = disclose(
        plan, audience, units=units, issued=issued, schematic=schematic, pictures=pictures
    )
    # The map is map.html, the sheet sheet.html; a GIS format's file is the plan in that format.
    stem = "plan" if export.SUFFIX == f".{to}" else to
    return Rendered(
        f"{stem}{export.SUFFIX}",
        export.TITLE,
        audience,
        export.render(paper.of(plan=worded(paper.plan, units))),
    )


def backdrops(
    folder: Folder | None, names: tuple[str, ...], *, schematic: bool
) -> tuple[Pictures, list[str]]:
    """Return the plan pictures that are to lie under the zones of the map, and warnings.

    Raises
    ------
    InputRefused
        When there is none, no map is made, or the map must not tell where it is.
    """
    if "map" not in names:
        raise InputRefused("--backdrop is for the map", remedy="Export with --to map.")
    if schematic:
        raise InputRefused(
            "a plan picture may tell the place that --schematic leaves out",
            remedy="Leave one of the two out.",
        )
    if folder is None:
        raise InputRefused(
            "a plan picture is kept in a site folder, and this is none",
            remedy="Make one with lawnmap start, or leave --backdrop out.",
        )
    return shown(folder)


def write(rendered: Rendered, folder: Folder | None, output: Path | None, *, force: bool) -> Path:
    """Write an export and return where it is.

    Without `output` it goes into the folder ``exports`` of the site, in the place of an earlier
    one; a file that is named is replaced only by `force`.
    """
    if output is not None:
        commit(output, rendered.data, force=force)
        return output
    home = folder.path / EXPORTS if folder else Path()
    if folder:
        home.mkdir(exist_ok=True)
    path = home / rendered.name
    commit(path, rendered.data, force=force or folder is not None)
    return path
