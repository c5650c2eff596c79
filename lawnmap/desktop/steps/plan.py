"""The step ``plan``: treatments and exact quantities for every zone."""

from __future__ import annotations

from typing import Any

from qgis.core import QgsProcessing

from ..columns import TEXT, WHY, Column, columns, named, worked_out
from ..inputs import RESULT
from ..job import Job
from ..step import Step, layer_result
from ..zones import zones_out

TABLES = {"steps": "STEPS", "totals": "TOTALS", "loads": "LOADS"}
SENTENCE = Column(WHY, TEXT, meaning="why this step, in a sentence")


class Plan(Step):
    """Adds the plan's columns to the zones, with tables of steps, totals and loads."""

    ID = "plan"

    def results(self) -> list[Any]:
        """Return the results."""
        polygon = QgsProcessing.SourceType.TypeVectorPolygon
        rows = QgsProcessing.SourceType.TypeVector
        return [
            layer_result(RESULT, "Planned zones", polygon),
            layer_result("STEPS", "Steps", rows),
            layer_result("TOTALS", "Totals", rows),
            layer_result("LOADS", "Loads", rows),
        ]

    def worked(self, job: Job) -> dict[str, Any]:
        """Do the work."""
        made = job.planned(share=80)
        job.warn(*made["days"]["told"])
        there = set(made["zones"][0]) if made["zones"] else set()
        ours = [*named("zones", ["zone_id"]), *(x for x in worked_out() if x.name in there)]
        found = {RESULT: zones_out(self, job, ours, made["zones"], "moss")}
        for name, output in TABLES.items():
            known = [*columns(name), *([SENTENCE] if name == "steps" else [])]
            found[output] = self.table(job, output, made[name], known)
        return found
