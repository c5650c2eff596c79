"""The step ``measure``: the true ground area of each zone."""

from __future__ import annotations

from typing import Any

from qgis.core import QgsProcessing

from ..columns import named
from ..inputs import RESULT
from ..job import Job
from ..step import Step, layer_result
from ..zones import zones_out

# What `lawnmap measure` tells of a zone.
ADDED = [
    "zone_id", "outline_area_m2", "obstacle_area_m2", "shared_area_m2", "plan_area_m2", "slope_deg",
    "slope_source", "ground_area_m2", "area_sigma_m2", "perimeter_m",
]  # fmt: skip


class Measure(Step):
    """Adds areas to the zones."""

    ID = "measure"
    DATED = False

    def results(self) -> list[Any]:
        """Return the results."""
        kind = QgsProcessing.SourceType.TypeVectorPolygon
        return [layer_result(RESULT, "Measured zones", kind)]

    def worked(self, job: Job) -> dict[str, Any]:
        """Do the work."""
        rows = job.ask("measure", str(job.site), share=80)
        ours = named("zones", ADDED)
        return {RESULT: zones_out(self, job, ours, rows, "measured")}
