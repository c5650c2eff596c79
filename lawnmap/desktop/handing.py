"""Layers and choices handed over to lawnmap before a step begins."""

from __future__ import annotations

from typing import Any

from qgis.PyQt.QtCore import Qt

from . import sending
from . import site as sites
from .inputs import DEPOT, REPAIR, SITE, SKIP_BAD, TODAY, ZONES
from .job import Job, settle_depot
from .problem import Problem


def hand_over(step: Any, job: Job) -> None:
    """Make the site that a step works on out of its inputs.

    Raises
    ------
    Problem
        When there is nothing to work on, a layer lacks what lawnmap needs, or lawnmap refuses it.
    """
    parameters, context = job.parameters, job.context
    source = step.parameterAsSource(parameters, ZONES, context)
    layers = step.layers
    folder = step.folder(parameters, SITE, context)
    if source is None and folder is None:
        raise Problem("there is nothing to work on", remedy="Give a layer of zones, or a site.")
    if folder is not None and not folder.is_dir():
        raise Problem("there is no such site folder", file=folder.name, remedy="Check its path.")
    job.layered = source is not None
    job.own = source is None and not layers
    if job.own:
        job.site = folder
    else:
        title = source.sourceName() if source is not None else ""
        job.site = sites.made(job.folder, folder, title, whole=source is None)
    if step.DATED:
        day = step.parameterAsDateTime(parameters, TODAY, context)
        job.today = day.date().toString(Qt.DateFormat.ISODate) if day.isValid() else ""
        settle_depot(job, step.folder(parameters, DEPOT, context), folder)
    job.reading = [
        option
        for name, option in ((REPAIR, "--repair"), (SKIP_BAD, "--skip-bad"))
        if step.parameterAsBool(parameters, name, context)
    ]
    if source is not None:
        _zones(step, job, source)
    for number, layer in enumerate(layers, start=1):
        _features(job, layer, number)


def _zones(step: Any, job: Job, source: Any) -> None:
    name = source.sourceName()
    sending.refuse_without_crs(source.sourceCrs(), name)
    job.crs, job.layer_crs = sending.text_of(source.sourceCrs()), source.sourceCrs()
    path = job.folder / "zones.gpkg"
    mapped = step.mapped(job.parameters, job.context)
    sent = sending.send(source, path, mapped=mapped, context=job.context, feedback=job.feedback)
    if not sent.rows:
        raise Problem(
            "holds no feature",
            file=name,
            remedy="Draw a zone, or take the tick off Selected features only.",
        )
    _tell_curves(job, name, sent.curved)
    try:
        job.read(path, name, "--as", "zone")
    except Problem as problem:
        raise step.explained(problem, mapped) from None
    job.ids = sites.zone_ids(job.site)
    left = sites.narrow(job.site, set(job.ids.values()))
    if left:
        job.warn(f"{name} has no zone {', '.join(left)}: what is chosen for it is left out.")


def _features(job: Job, layer: sending.Layer, number: int) -> None:
    name = layer.name
    sending.refuse_without_crs(layer.sourceCrs(), name)
    sending.refuse_without_kind(layer.fields(), name)
    if job.layer_crs is None:
        job.crs, job.layer_crs = sending.text_of(layer.sourceCrs()), layer.sourceCrs()
    path = job.folder / f"features_{number}.gpkg"
    sent = sending.send(layer, path, context=job.context, feedback=job.feedback)
    if not sent.rows:
        job.warn(f"{name}: holds no feature.")
        return
    _tell_curves(job, name, sent.curved)
    job.read(path, name)


def _tell_curves(job: Job, name: str, curved: int) -> None:
    if curved:
        what = "1 shape with curves was" if curved == 1 else f"{curved} shapes with curves were"
        job.warn(f"{name}: {what} handed over with straight sides, at most 1 mm from the curve.")
