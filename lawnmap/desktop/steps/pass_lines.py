"""The step ``pass lines``: where each bout of a machine goes."""

from __future__ import annotations

from typing import Any

from qgis.core import QgsProcessing, QgsWkbTypes

from ..job import Job
from ..step import Step, layer_result

LINES, PASSES = "LINES", "PASSES"


class PassLines(Step):
    """Returns pass lines and the table of passes."""

    ID = "pass_lines"

    def results(self) -> list[Any]:
        """Return the results."""
        return [
            layer_result(LINES, "Pass lines", QgsProcessing.SourceType.TypeVectorLine),
            layer_result(PASSES, "Table of passes", QgsProcessing.SourceType.TypeVector),
        ]

    def worked(self, job: Job) -> dict[str, Any]:
        """Do the work."""
        job.planned(share=40)
        made = self.exported(job, "--setting-out", share=40)
        line, none = QgsWkbTypes.Type.LineString, QgsWkbTypes.Type.NoGeometry
        return {
            LINES: self.taken(job, LINES, made, "bouts", line),
            PASSES: self.taken(job, PASSES, made, "passes", none),
        }
