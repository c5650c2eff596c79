"""What the steps share: their inputs, how a run begins, and how layers come back."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Sequence
from pathlib import Path
from typing import Any, ClassVar

from qgis.core import (
    QgsCoordinateReferenceSystem,
    QgsProcessing,
    QgsProcessingAlgorithm,
    QgsProcessingException,
    QgsProcessingParameterBoolean,
    QgsProcessingParameterDateTime,
    QgsProcessingParameterDefinition,
    QgsProcessingParameterFeatureSink,
    QgsProcessingParameterFeatureSource,
    QgsProcessingParameterField,
    QgsProcessingParameterFile,
    QgsProcessingParameterMultipleLayers,
    QgsProcessingUtils,
    QgsWkbTypes,
)
from qgis.PyQt.QtGui import QIcon

from . import handing, receiving, sending, styles
from .columns import Column, columns
from .fields import fields
from .inputs import (
    DEPOT,
    FEATURES,
    LONLAT,
    NAME,
    REPAIR,
    SITE,
    SKIP_BAD,
    TODAY,
    ZONE_ID,
    ZONES,
)
from .job import Job, begun
from .problem import Problem, Stopped
from .words import INPUTS, SAFETY, STEPS

ICONS = Path(__file__).parent / "icons"


class Step(QgsProcessingAlgorithm):
    """One step of lawnmap, run as its command."""

    ID: ClassVar[str] = ""
    DATED: ClassVar[bool] = True

    def __init__(self) -> None:
        super().__init__()
        self.layers: list[sending.Layer] = []  # of other features
        self._shown: dict[str, str] = {}  # for each result layer the style that it gets

    def name(self) -> str:
        """Return the name for scripts."""
        return self.ID

    def displayName(self) -> str:  # noqa: N802 - the GIS asks for it by this name
        """Return the name for people."""
        return STEPS[self.ID].title

    def shortDescription(self) -> str:  # noqa: N802
        """Return what it does, in one line."""
        return STEPS[self.ID].short

    def shortHelpString(self) -> str:  # noqa: N802
        """Return the help beside the inputs."""
        words = STEPS[self.ID]
        text = f"<p>{words.short}</p>{words.help}{INPUTS}{SAFETY if words.quantities else ''}"
        return " ".join(text.split())  # the dialog would begin a paragraph at every new line

    def icon(self) -> QIcon:
        """Return our own picture."""
        return QIcon(str(ICONS / f"{self.ID}.svg"))

    def createInstance(self) -> Step:  # noqa: N802
        """Return a fresh one."""
        return type(self)()

    def initAlgorithm(self, config: Any = None) -> None:  # noqa: N802
        """Declare inputs and results."""
        del config
        for parameter in [*self._inputs(), *self.more(), *self.results()]:
            self.addParameter(parameter)

    def _inputs(self) -> list[Any]:
        polygons = QgsProcessing.SourceType.TypeVectorPolygon
        vectors = QgsProcessing.SourceType.TypeVectorAnyGeometry
        folder = QgsProcessingParameterFile.Behavior.Folder
        found = [
            QgsProcessingParameterFeatureSource(ZONES, "Zones", [polygons], optional=True),
            QgsProcessingParameterField(
                ZONE_ID, "Field with the id of each zone", None, ZONES, optional=True
            ),
            QgsProcessingParameterField(
                NAME, "Field with the name of each zone", None, ZONES, optional=True
            ),
            QgsProcessingParameterMultipleLayers(
                FEATURES, "Other features (trees, buildings, water …)", vectors, optional=True
            ),
            QgsProcessingParameterFile(SITE, "Site folder", folder, optional=True),
        ]
        found += [
            _advanced(QgsProcessingParameterBoolean(name, title, defaultValue=False))
            for name, title in (
                (REPAIR, "Mend outlines that cross themselves, and say how (--repair)"),
                (SKIP_BAD, "Leave bad rows out, and say which (--skip-bad)"),
            )
        ]
        if self.DATED:
            day = QgsProcessingParameterDateTime.Type.Date
            found += [
                QgsProcessingParameterFile(
                    DEPOT, "Depot (folder with label cards and machines)", folder, optional=True
                ),
                QgsProcessingParameterDateTime(TODAY, "Work as if today were", day, optional=True),
            ]
        return found

    def more(self) -> list[Any]:
        """Return the inputs that only this step has."""
        return []

    @abstractmethod
    def results(self) -> list[Any]:
        """Return the results."""

    @abstractmethod
    def worked(self, job: Job) -> dict[str, Any]:
        """Do the work and return the results by their names."""

    def prepareAlgorithm(  # noqa: N802
        self, parameters: dict[str, Any], context: Any, feedback: Any
    ) -> bool:
        """Take the layers of features, in the thread that they belong to."""
        del feedback
        found = self.parameterAsLayerList(parameters, FEATURES, context) or []
        self.layers = [sending.Layer(each) for each in found]
        return True

    def processAlgorithm(  # noqa: N802
        self, parameters: dict[str, Any], context: Any, feedback: Any
    ) -> dict[str, Any]:
        """Run the step; every error in lawnmap's own form."""
        try:
            with begun(parameters, context, feedback) as job:
                handing.hand_over(self, job)
                return {name: found for name, found in self.worked(job).items() if found}
        except (Problem, Stopped) as problem:
            raise QgsProcessingException(str(problem)) from problem

    def postProcessAlgorithm(self, context: Any, feedback: Any) -> dict[str, Any]:  # noqa: N802
        """Draw the results in our way."""
        del feedback
        for found, style in self._shown.items():
            layer = QgsProcessingUtils.mapLayerFromString(found, context)
            if layer is not None:
                styles.apply(layer, style)
        return {}

    def mapped(self, parameters: dict[str, Any], context: Any) -> dict[str, str]:
        """Return our columns with the fields of the layer that were chosen for them."""
        chosen = {
            "zone_id": self.parameterAsString(parameters, ZONE_ID, context),
            "name": self.parameterAsString(parameters, NAME, context),
        }
        return {ours: theirs for ours, theirs in chosen.items() if theirs}

    def explained(self, problem: Problem, mapped: dict[str, str]) -> Problem:
        """Return a message with what this step knows beside it."""
        del mapped
        return problem

    def folder(self, parameters: dict[str, Any], name: str, context: Any) -> Path | None:
        """Return a folder that was chosen, None for none."""
        text = self.parameterAsString(parameters, name, context)
        # lawnmap works in a folder of its own, so a name must hold wherever it is read.
        return Path(text).absolute() if text else None

    def sink(self, job: Job, name: str, made: Any, shape: tuple[Any, Any], style: str) -> Any:
        """Return a result to put rows into and its name, and note how it is to be drawn.

        Parameters
        ----------
        made : QgsFields
        shape : tuple
            The kind of the shapes and their CRS.
        """
        sink, found = self.parameterAsSink(job.parameters, name, job.context, made, *shape)
        if sink is None or not found:
            return receiving.Away(), found
        self._shown[found] = style
        if job.context.willLoadLayerOnCompletion(found):
            details = job.context.layerToLoadOnCompletionDetails(found)
            if hasattr(details, "layerSortKey"):
                details.layerSortKey = styles.height(style)
        return sink, found

    def exported(self, job: Job, *options: str, share: float) -> Path:
        """Return the plan as a GeoPackage in the layer's own CRS."""
        path = job.folder / "plan.gpkg"
        crs = ["--crs", job.crs] if job.crs else []
        asked = [*crs, *options, *job.plan_options()]
        job.ask("export", str(job.site), "--to", "gpkg", "-o", str(path), *asked, share=share)
        return path

    def taken(self, job: Job, name: str, path: Path, table: str, kind: Any) -> str:
        """Return a result that is a layer or table of lawnmap's GeoPackage; empty for none."""
        layer, known = receiving.layer_in(path, table), columns(table)
        made, crs = fields(known), self.crs_of(job)
        sink, found = self.sink(job, name, made, (kind, crs), table)
        if not receiving.copied(layer, sink, made, known):
            job.feedback.pushInfo(f"{name.lower().replace('_', ' ')}: there is nothing")
        return str(found)

    def crs_of(self, job: Job) -> QgsCoordinateReferenceSystem:
        """Return the CRS that shapes come back in."""
        return QgsCoordinateReferenceSystem(LONLAT) if job.layer_crs is None else job.layer_crs

    def table(
        self, job: Job, name: str, rows: Sequence[receiving.Row], known: Sequence[Column]
    ) -> str:
        """Return a result that is a table."""
        shown = receiving.guessed(rows, known)
        made = fields(shown)
        nowhere = (QgsWkbTypes.Type.NoGeometry, QgsCoordinateReferenceSystem())
        sink, found = self.sink(job, name, made, nowhere, "")
        receiving.rows_into(sink, made, rows, shown)
        return str(found)


def _advanced(parameter: Any) -> Any:
    """Return an input that is shown when it is asked for."""
    parameter.setFlags(parameter.flags() | QgsProcessingParameterDefinition.Flag.FlagAdvanced)
    return parameter


def layer_result(name: str, title: str, kind: Any) -> Any:
    """Return a result that is a layer or, without shapes, a table."""
    return QgsProcessingParameterFeatureSink(name, title, kind, optional=True)
