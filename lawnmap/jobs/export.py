"""The job ``export``: a plan cut down to its audience, rendered and written."""

from __future__ import annotations

import os
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from lawnmap import plugins, schema
from lawnmap.agronomy.unit_systems import METRIC
from lawnmap.errors import InputRefused
from lawnmap.exports.wording.amounts import text
from lawnmap.exports.wording.switched import with_switch
from lawnmap.exports.wording.translated import as_typed
from lawnmap.exports.wording.worded import in_words
from lawnmap.files.alone import put
from lawnmap.files.commit import write_failed
from lawnmap.files.disk import DISK
from lawnmap.jobs.asked import refuse_unknown
from lawnmap.model import Plan
from lawnmap.pages.words import ENGLISH, speaking
from lawnmap.processing.disclose import disclose
from lawnmap.store.folder import Folder

PAGE, TWIN = ".html", ".pdf"
READ_BY_PEOPLE = (PAGE, ".svg")  # in the units of the reader; files for machines stay metric
SIZES = ("A4", "A3", "Letter")  # of the paper of a PDF
EXPORTS = "exports"  # in the site folder: made again at will, so replaced without asking


@dataclass(frozen=True)
class Rendered:
    """One exported file, not written yet; `to` is the export that it comes from."""

    to: str
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
    language: str = "",
    issued: str = "",
    also: tuple[str, ...] = (),
    **fields: Any,
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
    language : str
        Of the words, as BCP 47 names it; English when empty.
    issued : str
        Id and day of issue, empty for a trial export.
    also : tuple of str
        Columns that the audience does not see otherwise, named one by one.
    **fields
        Further fields of :class:`lawnmap.paper.Paper`: see :mod:`lawnmap.jobs.asked`.

    Raises
    ------
    PluginProblem, InputRefused
        For an unknown export, audience or language, a CRS for a file that has its own, or a name in
        `also` of nothing that is kept back.
    """
    export: plugins.Export = plugins.load("exports", to)
    audience = audience or export.AUDIENCE
    if audience not in schema.AUDIENCES:
        raise InputRefused(
            f"the audience {audience!r} is not known",
            remedy=f"It can be: {', '.join(schema.AUDIENCES)}.",
        )
    units = units or plan.specification.choice("units") or METRIC
    if export.SUFFIX not in READ_BY_PEOPLE:  # columns of a file for machines name their units
        units = METRIC
    elif getattr(export, "SWITCH", False):
        units = with_switch(units)
    refuse_unknown(also, audience)
    language = language or ENGLISH
    _refuse_unspoken(export, to, language)
    if fields.get("crs") and not getattr(export, "IN_CRS", False):
        raise InputRefused(
            f"{to} cannot be had in another CRS",
            remedy="Leave --crs out, or give it with --to gpkg.",
        )
    fields |= {"units": units, "language": language, "issued": issued}
    paper = disclose(plan, audience, also=also, **fields)
    # The map is map.html, the sheet sheet.html; a GIS format's file is the plan in that format.
    stem = "plan" if export.SUFFIX == f".{to}" else to
    with speaking(language):
        data = export.render(in_words(paper) if export.SUFFIX in READ_BY_PEOPLE else paper)
    return Rendered(to, f"{stem}{export.SUFFIX}", export.TITLE, audience, data)


def untranslated(plan: Plan, language: str) -> list[str]:
    """Return warnings of what people wrote on keeping off, which stays in their language."""
    if language in ("", ENGLISH):
        return []
    shown = plan.steps.loc[plan.steps["status"].eq(schema.DO), "keep_off"]
    return [f"stays as typed: {each}" for each in as_typed(map(text, shown))]


def _refuse_unspoken(export: plugins.Export, to: str, language: str) -> None:
    """Refuse a paper in a language that it is not whole in: half of a warning is none."""
    spoken = getattr(export, "LANGUAGES", (ENGLISH,))
    if language not in spoken:
        raise InputRefused(
            f"there is no {to} in the language {language!r}",
            remedy=f"It can be: {', '.join(spoken)}.",
        )


def papers(
    plan: Plan, to: str, output: Path | None = None, *, landscape: bool = False, **chosen: Any
) -> list[Rendered]:
    """Return one export of a plan as the files that are handed over: a page has its PDF beside it.

    Parameters
    ----------
    plan, to
        As :func:`render` takes them.
    output : Path, optional
        Where the one file is to go, if there is to be one: it is the PDF when its name ends so.
    landscape : bool
        Whether the PDF lies on its side.
    **chosen
        As :func:`render` takes them; ``sheet`` is the size of the paper.

    Raises
    ------
    InputRefused
        When a PDF is asked for and there is none, or none of that size.
    """
    alone = output is not None and output.suffix.lower() == TWIN
    twinned = has_twin(to)
    if alone and not twinned:
        raise InputRefused(f"{to} has no PDF", remedy="Give -o another name.")
    page = render(plan, to, **chosen)
    if not twinned or (output is not None and not alone):
        return [page]
    size, language = chosen.get("sheet", SIZES[0]), chosen.get("language") or ENGLISH
    twin = _twin(page, plan, size, landscape=landscape, language=language)
    return [twin] if alone else [page, twin]


def has_twin(to: str) -> bool:
    """Tell whether an export is a page to be read or printed, which a PDF can stand for."""
    export = plugins.load("exports", to)
    return export.SUFFIX == PAGE and getattr(export, "TWIN", True)


def _twin(page: Rendered, plan: Plan, size: str, *, landscape: bool, language: str) -> Rendered:
    from lawnmap.exports.pdf.twin import twin

    if size not in SIZES:
        raise InputRefused(
            f"the PDF of a page is not made in the size {size}",
            remedy=f"Give --paper one of: {', '.join(SIZES)}.",
        )
    data = twin(page.data, size=size, landscape=landscape, made=plan.today, language=language)
    name = Path(page.name).with_suffix(TWIN).name
    return replace(page, name=name, title=f"{page.title}, as a PDF", data=data)


def write(
    rendered: Rendered, folder: Folder | None, output: Path | None, *, force: bool
) -> tuple[Path, tuple[str, ...]]:
    """Write an export and return where it is, and warnings of the disk.

    Without `output` it goes into the folder ``exports`` of the site, in the place of an earlier
    one; a file that is named is replaced only by `force`.

    Parameters
    ----------
    rendered : Rendered
    folder : Folder or None
        Of the site.
    output : Path or None
        The file that a person named.
    force : bool
        Whether a file that is there already is replaced.

    Raises
    ------
    InputRefused
        When a link leads out of the site's folder.
    UsageProblem, WriteFailed, Busy
        When the file is there already, the disk does not take it, or somebody else writes there.
    """
    if output is not None:
        return output, put(output, rendered.data, force=force)
    home = folder.path / EXPORTS if folder else Path()
    path = home / rendered.name
    if folder:
        folder.own(path)  # it is replaced unasked, so it must not be somebody else's
        try:
            DISK.do(os.makedirs, home, exist_ok=True)
        except OSError as error:
            raise write_failed(home, error) from error
    return path, put(path, rendered.data, force=force or folder is not None)
