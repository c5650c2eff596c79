"""The step ``assess``: what columns of the layer say of moss, thatch and the rest, judged."""

from __future__ import annotations

import re
from typing import Any

from qgis.core import QgsProcessing, QgsProcessingParameterField

from ..columns import Column, facts, named
from ..inputs import RESULT, ZONES
from ..job import Job
from ..problem import Problem, Refused
from ..step import Step, layer_result
from ..zones import zones_out

# The facts that a field may be chosen for, in the order of the form.
CHOSEN = (
    "moss_rating", "moss_cover_pct", "moss_depth_mm", "moss_form", "thatch_rating", "thatch_mm",
    "tug_test", "compaction", "wear", "sun_hours_seen", "slope_seen_deg", "drainage",
    "cut_height_mm", "bare_pct", "grass", "soil_ph", "fed_last", "sown_last", "turf_type", "iron",
    "outline_source", "outline_sigma_m",
)  # fmt: skip
# What lawnmap makes of them.
JUDGED = [
    "moss_low_pct", "moss_high_pct", "moss_class", "moss_from", "thatch_low_mm", "thatch_high_mm",
    "thatch_class", "thatch_from", "deep_mat", "verdict", "causes", "stop_it",
]  # fmt: skip


class Assess(Step):
    """Adds what was seen, and what lawnmap judges of it."""

    ID = "assess"

    def more(self) -> list[Any]:
        """Return a field to choose for each fact."""
        return [_choice(column) for column in named("zones", list(CHOSEN))]

    def results(self) -> list[Any]:
        """Return the results."""
        kind = QgsProcessing.SourceType.TypeVectorPolygon
        return [layer_result(RESULT, "Assessed zones", kind)]

    def mapped(self, parameters: dict[str, Any], context: Any) -> dict[str, str]:
        """Return our columns with the fields that were chosen for them."""
        found = super().mapped(parameters, context)
        for name in CHOSEN:
            field = self.parameterAsString(parameters, name.upper(), context)
            if field:
                found[name] = field
        return found

    def explained(self, problem: Problem, mapped: dict[str, str]) -> Problem:
        """Return a message with the field that a column of ours was taken from."""
        text = str(problem)
        taken = [
            (ours, field)
            for ours, field in mapped.items()
            if ours != field and re.search(rf"\b{ours}\b", text)
        ]
        if not taken:
            return problem
        said = " ".join(f"{ours} is taken from the field {field}." for ours, field in taken)
        return Refused(f"{text} {said}", file=problem.file)

    def worked(self, job: Job) -> dict[str, Any]:
        """Do the work."""
        made = job.ask("plan", str(job.site), *job.plan_options(), share=80)
        rows = made["zones"]
        seen = [
            each for each in facts() if any(row.get(each.name) not in (None, "") for row in rows)
        ]
        there = {each.name for each in seen} - {"zone_id", "name", "came_from"}
        ours = [
            *named("zones", ["zone_id"]),
            *(each for each in facts() if each.name in there),
            *named("zones", JUDGED),
        ]
        return {RESULT: zones_out(self, job, ours, rows, "moss")}


def _choice(column: Column) -> Any:
    title = column.title[:1].upper() + column.title[1:]
    field = QgsProcessingParameterField(column.name.upper(), title, None, ZONES, optional=True)
    field.setHelp(column.meaning)
    return field
