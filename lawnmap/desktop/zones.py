"""The zones as a result: the layer's own rows and fields, with our columns added on the right."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from qgis.core import QgsCoordinateReferenceSystem, QgsWkbTypes

from . import receiving, sending
from . import site as sites
from .columns import Column, columns
from .fields import fields
from .inputs import LONLAT, RESULT, ZONES
from .job import Job


def zones_out(
    step: Any, job: Job, ours: Sequence[Column], rows: Sequence[receiving.Row], style: str
) -> str:
    """Write the zones and return the name of the result.

    Parameters
    ----------
    ours : sequence of Column
        What is added.
    rows : sequence of mapping
        What lawnmap found, a row a zone, with ``zone_id``.
    style : str
        How the layer is drawn; see :mod:`lawnmap_desktop.styles`.
    """
    found = {str(row["zone_id"]): row for row in rows}
    write = _of_layer if job.layered else _of_site
    return str(write(step, job, ours, found, style))


def _of_layer(
    step: Any, job: Job, ours: Sequence[Column], found: dict[str, receiving.Row], style: str
) -> str:
    source = step.parameterAsSource(job.parameters, ZONES, job.context)
    mapped = step.mapped(job.parameters, job.context)
    kept = receiving.ids_kept(source, mapped.get("zone_id", "zone_id"), job.ids)
    made = receiving.joined(source.fields(), ours, kept)
    old = receiving.replaced(source.fields(), ours, kept)
    if old:
        job.warn(f"{source.sourceName()}: worked out anew: {', '.join(old)}.")
    kind, crs = source.wkbType(), source.sourceCrs()
    sink, name = step.sink(job, RESULT, made, (kind, crs), style)
    others = 0
    for number, feature in enumerate(sending.rows_of(source)):
        zone_id = job.ids.get(number)
        if zone_id is None:
            others += 1
            continue
        row = {**found.get(zone_id, {}), "zone_id": zone_id}
        receiving.put(sink, receiving.with_row(feature, made, ours, row, kept))
    if others:
        what = "1 row that is no zone" if others == 1 else f"{others} rows that are no zones"
        job.warn(f"{source.sourceName()}: without {what}, or left out.")
    return str(name)


def _of_site(
    step: Any, job: Job, ours: Sequence[Column], found: dict[str, receiving.Row], style: str
) -> str:
    """Write the zones of a site folder, in longitude and latitude as they are kept there."""
    names = {column.name for column in ours}
    known = receiving.guessed(list(found.values()), columns("zones"))
    shown = [each for each in known if each.name in names or not each.worked_out]
    made = fields(shown)
    crs = QgsCoordinateReferenceSystem(LONLAT)
    kind = QgsWkbTypes.Type.MultiPolygon
    sink, name = step.sink(job, RESULT, made, (kind, crs), style)
    for each in sites.features(job.site):
        row = found.get(str(each["properties"].get("zone_id")))
        if each["properties"].get("feature") == "zone" and row is not None:
            shape = receiving.polygons(each["geometry"])
            receiving.zone_into(sink, made, shown, row, shape)
    return str(name)
