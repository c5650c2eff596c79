"""The step ``strips``: what is kept clear of iron, feed and blades, and what may be treated."""

from __future__ import annotations

from typing import Any

from qgis.core import QgsProcessing, QgsWkbTypes

from ..job import Job
from ..step import Step, layer_result

KEPT_CLEAR, TREATABLE = "KEPT_CLEAR", "TREATABLE"


class Strips(Step):
    """Returns the strips and the ground that is left."""

    ID = "strips"

    def results(self) -> list[Any]:
        """Return the results."""
        polygon = QgsProcessing.SourceType.TypeVectorPolygon
        return [
            layer_result(TREATABLE, "Ground that may be treated", polygon),
            layer_result(KEPT_CLEAR, "Kept clear", polygon),
        ]

    def worked(self, job: Job) -> dict[str, Any]:
        """Do the work."""
        job.planned(share=40)
        made = self.exported(job, share=40)
        kind = QgsWkbTypes.Type.MultiPolygon
        return {
            TREATABLE: self.taken(job, TREATABLE, made, "treatable", kind),
            KEPT_CLEAR: self.taken(job, KEPT_CLEAR, made, "kept_clear", kind),
        }
