"""The step ``export map``: the plan as one file to hand over."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from qgis.core import QgsProcessingParameterEnum, QgsProcessingParameterFileDestination

from ..job import Job
from ..problem import Problem
from ..step import Step

AUDIENCE, LANGUAGE, UNITS, HTML = "AUDIENCE", "LANGUAGE", "UNITS", "HTML"
AUDIENCES = ["client", "public", "crew", "owner"]
LANGUAGES = ["en", "de"]
SYSTEMS = ["metric", "us", "imperial"]
CHOSEN_BY_SITE = "as the site says"


class ExportMap(Step):
    """Writes the map."""

    ID = "export_map"

    def more(self) -> list[Any]:
        """Return the choices of the paper."""
        return [
            QgsProcessingParameterEnum(AUDIENCE, "For whom", AUDIENCES, defaultValue=0),
            QgsProcessingParameterEnum(LANGUAGE, "Language", LANGUAGES, defaultValue=0),
            QgsProcessingParameterEnum(
                UNITS, "Units", [CHOSEN_BY_SITE, *SYSTEMS], defaultValue=0, optional=True
            ),
        ]

    def results(self) -> list[Any]:
        """Return the results."""
        return [QgsProcessingParameterFileDestination(HTML, "Map", "HTML files (*.html)")]

    def worked(self, job: Job) -> dict[str, Any]:
        """Do the work."""
        # lawnmap works in a folder of its own that goes away afterwards.
        target = Path(self.parameterAsFileOutput(job.parameters, HTML, job.context)).absolute()
        if target.suffix.lower() not in {".html", ".htm"}:
            raise Problem("is not the name of a map", file=target.name, remedy="End it in .html.")
        audience = AUDIENCES[self.parameterAsEnum(job.parameters, AUDIENCE, job.context)]
        language = LANGUAGES[self.parameterAsEnum(job.parameters, LANGUAGE, job.context)]
        units = self.parameterAsEnum(job.parameters, UNITS, job.context)
        chosen = ["--units", SYSTEMS[units - 1]] if units else []
        job.ask(
            "export", str(job.site), "--to", "map", "-o", str(target), "--force",
            "--audience", audience, "--language", language, *chosen, *job.plan_options(), share=80,
        )  # fmt: skip
        return {HTML: str(target)}
