"""The provider: our steps in the toolbox of the GIS."""

from __future__ import annotations

from pathlib import Path

from qgis.core import QgsProcessingProvider
from qgis.PyQt.QtGui import QIcon

from .steps import assess, export_map, loads, measure, pass_lines, plan, strips, sun

STEPS = (
    measure.Measure,
    assess.Assess,
    sun.Sun,
    plan.Plan,
    strips.Strips,
    pass_lines.PassLines,
    loads.Loads,
    export_map.ExportMap,
)


class Provider(QgsProcessingProvider):
    """The steps of lawnmap, in the order of the job."""

    def id(self) -> str:
        """Return the name for scripts."""
        return "lawnmap"

    def name(self) -> str:
        """Return the name for people."""
        return "lawnmap"

    def longName(self) -> str:  # noqa: N802 - the GIS asks for it by this name
        """Return the name in full."""
        return "lawnmap: renovating lawns on a map"

    def icon(self) -> QIcon:
        """Return our own picture."""
        return QIcon(self.svgIconPath())

    def svgIconPath(self) -> str:  # noqa: N802
        """Return where it is."""
        return str(Path(__file__).parent / "icons" / "lawnmap.svg")

    def loadAlgorithms(self) -> None:  # noqa: N802
        """Add the steps."""
        for step in STEPS:
            self.addAlgorithm(step())
