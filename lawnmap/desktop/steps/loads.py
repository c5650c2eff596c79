"""The step ``loads``: the ground of each load, where to fill up, and what goes in."""

from __future__ import annotations

from typing import Any

from qgis.core import QgsProcessing, QgsWkbTypes

from ..job import Job
from ..step import Step, layer_result

AREAS, REFILLS, LOADS = "AREAS", "REFILLS", "LOADS"


class Loads(Step):
    """Returns the ground of loads, places to fill up, and the table of loads."""

    ID = "loads"

    def results(self) -> list[Any]:
        """Return the results."""
        kinds = QgsProcessing.SourceType
        return [
            layer_result(AREAS, "Ground of loads", kinds.TypeVectorPolygon),
            layer_result(REFILLS, "Places to fill up", kinds.TypeVectorPoint),
            layer_result(LOADS, "Table of loads", kinds.TypeVector),
        ]

    def worked(self, job: Job) -> dict[str, Any]:
        """Do the work."""
        job.planned(share=40)
        made = self.exported(job, "--setting-out", share=40)
        area, point = QgsWkbTypes.Type.MultiPolygon, QgsWkbTypes.Type.Point
        none = QgsWkbTypes.Type.NoGeometry
        return {
            AREAS: self.taken(job, AREAS, made, "load_areas", area),
            REFILLS: self.taken(job, REFILLS, made, "refills", point),
            LOADS: self.taken(job, LOADS, made, "loads", none),
        }
