"""Runs in the Python of the GIS: starts it without a window and does what it is told, line by line.

One line of JSON in, one line of JSON out. Nothing of the tests or of lawnmap is imported here: only
the GIS, and our plugin from a profile, loaded as the GIS itself loads it. Layers are known by names
that the tests give them; ``@name`` in the parameters of a step stands for one.
"""

# ruff: noqa: N802, N803, BLE001, PTH118, B905 - names of the GIS, and a Python that may be 3.9
import json
import os
import sys
import time
import traceback

from qgis.core import (
    NULL,
    QgsApplication,
    QgsCoordinateReferenceSystem,
    QgsFeature,
    QgsField,
    QgsFields,
    QgsGeometry,
    QgsMapLayer,
    QgsProcessingContext,
    QgsProcessingFeatureSourceDefinition,
    QgsProcessingFeedback,
    QgsProcessingUtils,
    QgsProject,
    QgsVectorFileWriter,
    QgsVectorLayer,
    QgsWkbTypes,
)
from qgis.PyQt.QtCore import QVariant

PLUGINS = "/usr/share/qgis/python/plugins"  # where Debian puts what comes with the GIS
TYPES = {"text": QVariant.String, "number": QVariant.Double, "whole": QVariant.LongLong}
DIGITS = 17  # of a double


class Listening(QgsProcessingFeedback):
    """Hears what a step says, and stops it when it is as far as was asked."""

    def __init__(self, stop_at):
        super().__init__(False)
        self.stop_at, self.heard, self.texts, self.warnings, self.errors = stop_at, [], [], [], []
        self.stopped_at = None
        self.progressChanged.connect(self._changed)

    def _changed(self, percent):
        self.heard.append(percent)
        if self.stop_at is not None and percent >= self.stop_at and self.stopped_at is None:
            self.stopped_at = time.monotonic()
            self.cancel()

    def setProgressText(self, text):
        self.texts.append(text)

    def pushWarning(self, text):
        self.warnings.append(text)

    def reportError(self, text, fatalError=False):
        self.errors.append(text)


class Gis:
    """The GIS, our plugin in it, and the layers of the tests."""

    def __init__(self, profile):
        QgsApplication.setPrefixPath("/usr", True)
        self.app = QgsApplication([], False, profile)
        self.app.initQgis()
        sys.path[:0] = [os.path.join(profile, "python", "plugins"), PLUGINS]
        from processing.core.Processing import Processing
        from qgis import utils

        Processing.initialize()
        self.utils = utils
        utils.plugin_paths[:] = [os.path.join(profile, "python", "plugins")]
        self.layers = {}

    def start(self):
        """Load the plugin as the GIS does where there is no window."""
        self.utils.updateAvailablePlugins()
        loaded = self.utils.loadPlugin("lawnmap_desktop")
        started = loaded and self.utils.startProcessingPlugin("lawnmap_desktop")
        return {"loaded": bool(loaded), "started": bool(started), **self.steps()}

    def stop(self):
        """Unload it again."""
        self.utils.unloadPlugin("lawnmap_desktop")
        return self.steps()

    def steps(self):
        """Return every step of ours with its inputs and outputs."""
        found = QgsApplication.processingRegistry().providerById("lawnmap")
        if found is None:
            return {"steps": None}
        return {
            "icon": found.icon().isNull(),
            "steps": {
                step.id(): {
                    "title": step.displayName(),
                    "help": step.shortHelpString(),
                    "icon": not step.icon().isNull(),
                    "inputs": [
                        [each.name(), each.type(), each.description()]
                        for each in step.parameterDefinitions()
                    ],
                    "outputs": [each.name() for each in step.outputDefinitions()],
                }
                for step in found.algorithms()
            },
        }

    def layer(self, name, source, title="", crs=None):
        """Open a layer of a file."""
        layer = QgsVectorLayer(source, title or name, "ogr")
        if not layer.isValid():
            raise ValueError(source)
        if crs is not None:
            layer.setCrs(self.crs(crs))
        return self.keep(name, layer)

    def drawn(self, name, crs, fields, rows, kind="Polygon"):
        """Make a layer of shapes given as WKT; a row is a shape and its values."""
        layer = QgsVectorLayer(kind, name, "memory")
        layer.setCrs(self.crs(crs))
        made = QgsFields()
        for field, kind_of in fields:
            made.append(QgsField(field, TYPES[kind_of]))
        layer.dataProvider().addAttributes(made.toList())
        layer.updateFields()
        for shape, values in rows:
            feature = QgsFeature(layer.fields())
            feature.setGeometry(QgsGeometry.fromWkt(shape))
            feature.setAttributes([NULL if each is None else each for each in values])
            layer.dataProvider().addFeature(feature)
        return self.keep(name, layer)

    def transformed(self, name, source, crs):
        """Make a copy of a layer in another CRS."""
        import processing

        made = processing.run(
            "native:reprojectlayer",
            {"INPUT": self.layers[source], "TARGET_CRS": self.crs(crs), "OUTPUT": "memory:"},
        )["OUTPUT"]
        made.setCrs(self.crs(crs))
        made.setName(name)
        return self.keep(name, made)

    def selected(self, name):
        """Return what stands for the selected rows of a layer in a parameter."""
        return {"selected of": name}

    def part(self, name, kind):
        """Open the rows of one kind of shape of a layer, as the GIS offers them apart."""
        source = self.layers[name].source()
        return self.layer(f"{name} {kind}", f"{source}|geometrytype={kind}")

    def saved(self, name, path):
        """Save a layer to a GeoPackage and return where."""
        options = QgsVectorFileWriter.SaveVectorOptions()
        options.driverName, options.layerName = "GPKG", "plan"
        context = QgsProject.instance().transformContext()
        QgsVectorFileWriter.writeAsVectorFormatV3(self.layers[name], path, context, options)
        return path

    def shown(self, name):
        """Describe a layer that is open."""
        return self.told(self.layers[name], QgsProcessingContext())

    def select(self, name, where):
        """Select rows of a layer."""
        self.layers[name].selectByExpression(where)
        return self.layers[name].selectedFeatureCount()

    def run(self, step, parameters, stop_at=None):
        """Run a step as a person does from the toolbox, and tell all that came of it."""
        import processing

        feedback, context = Listening(stop_at), QgsProcessingContext()
        context.setProject(QgsProject.instance())
        before = set(QgsProject.instance().mapLayers())
        given = {name: self.given(value) for name, value in parameters.items()}
        problem, found, began = None, {}, time.monotonic()
        try:
            found = processing.run(f"lawnmap:{step}", given, context=context, feedback=feedback)
        except Exception as error:  # whatever a person would be shown
            problem = str(error)
        ended = time.monotonic()
        return {
            "problem": problem,
            "outputs": {name: self.told(each, context) for name, each in found.items()},
            "progress": feedback.heard,
            "texts": feedback.texts,
            "warnings": feedback.warnings,
            "errors": feedback.errors,
            "seconds": ended - began,
            "after_stop": None if feedback.stopped_at is None else ended - feedback.stopped_at,
            "added": sorted(set(QgsProject.instance().mapLayers()) - before),
        }

    def environment(self, **names):
        """Set variables of the environment, None to take one out, and return what stood there."""
        before = {name: os.environ.get(name) for name in names}
        for name, value in names.items():
            if value is None:
                os.environ.pop(name, None)
            else:
                os.environ[name] = value
        return before

    def given(self, value):
        """Return a parameter, with layers for their names."""
        if isinstance(value, dict):
            layer = self.layers[value["selected of"]]
            return QgsProcessingFeatureSourceDefinition(layer.id(), selectedFeaturesOnly=True)
        if isinstance(value, list):
            return [self.given(each) for each in value]
        if isinstance(value, str) and value.startswith("@"):
            return self.layers[value[1:]]
        return value

    def keep(self, name, layer):
        """Keep a layer under a name, in the project as a person has it, and describe it."""
        self.layers[name] = layer
        QgsProject.instance().addMapLayer(layer, False)
        return {"rows": layer.featureCount(), "crs": layer.crs().authid()}

    def crs(self, text):
        return QgsCoordinateReferenceSystem.fromWkt(text) if "[" in text else (
            QgsCoordinateReferenceSystem(text)
        )  # fmt: skip

    def told(self, value, context):
        """Return a result: a layer row by row, anything else as text."""
        layer = value
        if isinstance(value, str):
            found = QgsProcessingUtils.mapLayerFromString(value, context)
            layer = found if found is not None else None
        if not isinstance(layer, QgsMapLayer):
            return value
        fields = [each.name() for each in layer.fields()]
        features = list(layer.getFeatures())
        renderer = layer.renderer()
        return {
            "name": layer.name(),
            "fields": fields,
            "titles": [each.alias() for each in layer.fields()],
            "rows": [
                dict(zip(fields, [plain(each) for each in feature.attributes()]))
                for feature in features
            ],
            "shapes": [
                feature.geometry().asWkt(DIGITS) if feature.hasGeometry() else None
                for feature in features
            ],
            "kind": QgsWkbTypes.displayString(layer.wkbType()),
            "crs": layer.crs().authid(),
            "same_crs_as": [n for n, each in self.layers.items() if each.crs() == layer.crs()],
            "renderer": renderer.type() if renderer is not None else None,
            "legend": [each.label() for each in renderer.legendSymbolItems()] if renderer else [],
            "colours": [
                each.symbol().color().name() if each.symbol() else None
                for each in (renderer.legendSymbolItems() if renderer else [])
            ],
            "labels": layer.labelsEnabled(),
        }


def plain(value):
    """Return a value as JSON has it."""
    if value is None or value == NULL:
        return None
    return value if isinstance(value, (str, int, float, bool)) else str(value)


def main(profile):
    """Answer line by line; what the GIS itself prints goes to standard error."""
    answers = os.fdopen(os.dup(1), "w", encoding="utf-8")
    os.dup2(2, 1)
    gis = Gis(profile)
    for line in sys.stdin:
        asked = json.loads(line)
        try:
            told = {"value": getattr(gis, asked["do"])(**asked["with"])}
        except Exception:
            told = {"fault": traceback.format_exc()}
        answers.write(json.dumps(told) + "\n")
        answers.flush()
    gis.layers.clear()
    QgsProject.instance().clear()
    answers.close()
    os._exit(0)  # the end of the GIS itself is not what is tested


if __name__ == "__main__":
    main(sys.argv[1])
