"""The step ``sun``: hours of direct sun a day in every zone, and at every point."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from qgis.core import (
    QgsProcessing,
    QgsProcessingParameterDateTime,
    QgsProcessingParameterDefinition,
    QgsProcessingParameterNumber,
    QgsWkbTypes,
)
from qgis.PyQt.QtCore import Qt

from .. import receiving
from ..columns import NUMBER, TEXT, Column, named
from ..fields import fields
from ..inputs import RESULT
from ..job import Job
from ..step import Step, layer_result
from ..zones import zones_out

FIRST, LAST, DISTANCE, POINTS = "FIRST", "LAST", "DISTANCE", "POINTS"
ADDED = ["zone_id", "sun_hours", "sun_low_h", "sun_high_h"]
OF_POINTS = (
    Column("zone_id", TEXT, meaning="zone that the point lies in"),
    Column("sun_hours", NUMBER, "h", meaning="hours of direct sun a day at the point"),
)


class Sun(Step):
    """Adds hours of sun to the zones, with a layer of points."""

    ID = "sun"

    def more(self) -> list[Any]:
        """Return days and grid."""
        day = QgsProcessingParameterDateTime.Type.Date
        number = QgsProcessingParameterNumber(
            DISTANCE,
            "From a point to the next [m]",
            QgsProcessingParameterNumber.Type.Double,
            None,
            optional=True,
            minValue=0.1,
            maxValue=50,
        )
        advanced = QgsProcessingParameterDefinition.Flag.FlagAdvanced
        number.setFlags(number.flags() | advanced)
        return [
            QgsProcessingParameterDateTime(FIRST, "First day", day, optional=True),
            QgsProcessingParameterDateTime(LAST, "Last day", day, optional=True),
            number,
        ]

    def results(self) -> list[Any]:
        """Return the results."""
        polygon = QgsProcessing.SourceType.TypeVectorPolygon
        point = QgsProcessing.SourceType.TypeVectorPoint
        return [
            layer_result(RESULT, "Hours of sun by zone", polygon),
            layer_result(POINTS, "Points of sun", point),
        ]

    def worked(self, job: Job) -> dict[str, Any]:
        """Do the work."""
        path = job.folder / "points.csv"
        crs = ["--crs", job.crs] if job.crs else []
        asked = [*self._asked(job), *job.day(), "-o", str(path), *crs]
        made = job.ask("sun", str(job.site), *asked, share=80)
        span = "the growing season" if made["season"] else "the days"
        job.feedback.pushInfo(
            f"{span}, {made['from']} to {made['to']}; open ground has "
            f"{made['open_ground_h']:.1f} h; points {made['step_m']:g} m apart"
        )
        ours = named("zones", ADDED)
        return {
            RESULT: zones_out(self, job, ours, made["zones"], "sun"),
            POINTS: self._points(job, path),
        }

    def _asked(self, job: Job) -> list[str]:
        found: list[str] = []
        for name, option in ((FIRST, "--from"), (LAST, "--to")):
            day = self.parameterAsDateTime(job.parameters, name, job.context)
            if day.isValid():
                found += [option, day.date().toString(Qt.DateFormat.ISODate)]
        if job.parameters.get(DISTANCE) is not None:
            found += ["--step", repr(self.parameterAsDouble(job.parameters, DISTANCE, job.context))]
        return found

    def _points(self, job: Job, path: Path) -> str:
        made, crs = fields(OF_POINTS), self.crs_of(job)
        kind = QgsWkbTypes.Type.Point
        sink, name = self.sink(job, POINTS, made, (kind, crs), "sun_points")
        receiving.points_into(sink, made, OF_POINTS, path)
        return str(name)
