"""A layer of the GIS as a GeoPackage that lawnmap reads, in the layer's own CRS."""

from __future__ import annotations

from pathlib import Path
from typing import Any, NamedTuple

from qgis.core import (
    QgsAbstractGeometry,
    QgsCoordinateReferenceSystem,
    QgsFeature,
    QgsFeatureRequest,
    QgsField,
    QgsFields,
    QgsGeometry,
    QgsProcessingFeatureSource,
    QgsUnitTypes,
    QgsVectorFileWriter,
    QgsVectorLayerFeatureSource,
    QgsWkbTypes,
)

from .columns import COUNT, NUMBER, TEXT, facts, worked_out
from .fields import TYPES, plain
from .problem import Problem, Stopped
from .site import ROW

FEATURE = "feature"
CURVE_M = 0.001  # how far a chord may lie from its curve
# Read as it is: what is wrong with an outline, lawnmap says.
AS_IT_IS = QgsProcessingFeatureSource.Flag.FlagSkipGeometryValidityChecks


class Layer:
    """A layer as it stood when the step began, safe to read beside the window's own thread.

    Parameters
    ----------
    layer : QgsVectorLayer
        Asked in the thread that it belongs to.
    """

    def __init__(self, layer: Any) -> None:
        self.name = str(layer.name())
        self._fields = QgsFields(layer.fields())
        self._crs = QgsCoordinateReferenceSystem(layer.crs())
        self._rows = QgsVectorLayerFeatureSource(layer)

    def fields(self) -> QgsFields:
        """Return its fields."""
        return self._fields

    def sourceCrs(self) -> QgsCoordinateReferenceSystem:  # noqa: N802 - as sources of the GIS
        """Return its CRS."""
        return self._crs

    def getFeatures(self) -> Any:  # noqa: N802
        """Return its rows."""
        return self._rows.getFeatures(QgsFeatureRequest())


class Sent(NamedTuple):
    """What became of a layer: how many rows were written, and how many had curves."""

    rows: int
    curved: int


def refuse_without_crs(crs: QgsCoordinateReferenceSystem, name: str) -> None:
    """Refuse a layer that does not say where on earth it is.

    Raises
    ------
    Problem
        Naming the layer.
    """
    if not crs.isValid():
        raise Problem(
            "does not say which coordinate reference system it is in",
            file=name,
            remedy="Set it: right-click the layer, Layer CRS.",
        )


def refuse_without_kind(fields: QgsFields, name: str) -> None:
    """Refuse a layer of features that does not say what they are.

    Raises
    ------
    Problem
        Naming the layer.
    """
    if FEATURE not in {each.name().strip().lower() for each in fields}:
        raise Problem(
            f"has no column {FEATURE}, so it is not known what its features are",
            file=name,
            remedy=f"Add a text column {FEATURE} with tree, building, hedge, fence, paving, water, "
            "drain, hidden, supply, bed, access or core in each row.",
        )


def text_of(crs: QgsCoordinateReferenceSystem) -> str:
    """Return a CRS as lawnmap takes it: a code of a register, or WKT."""
    code = str(crs.authid())
    if code.startswith(("EPSG:", "OGC:", "ESRI:", "IGNF:")):
        return code
    return str(crs.toWkt(QgsCoordinateReferenceSystem.WktVariant.WKT2_2019))


def send(
    source: Any,
    path: Path,
    *,
    mapped: dict[str, str] | None = None,
    context: Any,
    feedback: Any,
) -> Sent:
    """Write the rows of a layer, each with the number of its row.

    Parameters
    ----------
    source : QgsProcessingFeatureSource or Layer
        With its selection, when only that is wanted.
    path : Path
        The file to make.
    mapped : dict, optional
        Names of ours, each with the field of the layer that holds it. A field that has such a name
        and was not chosen is left out.
    context : QgsProcessingContext
    feedback : QgsProcessingFeedback

    Raises
    ------
    Stopped
        When a person stopped the step.
    Problem
        When the file cannot be written.
    """
    taken = _taken(source.fields(), mapped or {})
    writer = _writer(source, path, taken, context)
    curve = CURVE_M / _metres(source.sourceCrs())
    fields = _fields_of(taken)
    rows = curved = 0
    for rows, feature in enumerate(rows_of(source), start=1):
        if feedback.isCanceled():
            raise Stopped
        row = QgsFeature(fields)
        shape, bent = _straight(feature.geometry(), curve)
        curved += bent
        row.setGeometry(shape)
        row.setAttributes([_value(feature, index) for _, index in taken] + [rows - 1])
        if not writer.addFeature(row):
            raise _failed(writer)
    if writer.errorMessage():
        raise _failed(writer)
    del writer  # closes the file
    return Sent(rows, curved)


def rows_of(source: Any) -> Any:
    """Return the rows of a layer as they are, in their order."""
    if isinstance(source, QgsProcessingFeatureSource):
        return source.getFeatures(QgsFeatureRequest(), AS_IT_IS)
    return source.getFeatures()


def _taken(found: QgsFields, mapped: dict[str, str]) -> list[tuple[QgsField, int]]:
    """Return the fields to write and where each is in the layer; two names alike are one.

    A field chosen for a fact of ours goes under our name. Numbers stay numbers, and all else is
    text: lawnmap reads it.
    """
    ours = {column.name for column in facts()}
    earlier = {column.name for column in worked_out()}  # out of date, and no facts
    taken: dict[str, tuple[QgsField, int]] = {}
    for name, chosen in mapped.items():
        index = found.lookupField(chosen)
        taken[name] = (_like(found.at(index), name), index)
    for index in range(found.count()):
        name = found.at(index).name()
        plainly = name.strip().lower().replace(" ", "_").replace("-", "_")
        if {plainly, name.lower()} & {*taken, *earlier, ROW}:
            continue
        taken[plainly if plainly in ours else name.lower()] = (_like(found.at(index), name), index)
    return list(taken.values())


def _like(found: QgsField, name: str) -> QgsField:
    return QgsField(name, TYPES[NUMBER if found.isNumeric() else TEXT])


def _fields_of(taken: list[tuple[QgsField, int]]) -> QgsFields:
    """Return the fields of the file: those of the layer, and the number of the row."""
    made = QgsFields()
    for each, _ in taken:
        made.append(each)
    made.append(QgsField(ROW, TYPES[COUNT]))
    return made


def _writer(source: Any, path: Path, taken: list[tuple[QgsField, int]], context: Any) -> Any:
    options = QgsVectorFileWriter.SaveVectorOptions()
    options.driverName = "GPKG"
    options.layerName = "plan"
    # Names that no layer has, so that its own fid and geom are columns like any other.
    options.layerOptions = ["FID=lawnmap_fid", "GEOMETRY_NAME=lawnmap_shape"]
    writer = QgsVectorFileWriter.create(
        str(path),
        _fields_of(taken),
        QgsWkbTypes.Type.Unknown,
        source.sourceCrs(),
        context.transformContext(),
        options,
    )
    if writer.hasError() != QgsVectorFileWriter.WriterError.NoError:
        raise _failed(writer)
    return writer


def _failed(writer: Any) -> Problem:
    return Problem(
        f"the layer could not be handed to lawnmap ({writer.errorMessage()})",
        remedy="Look whether the disk of the temporary folder is full.",
    )


def _straight(shape: QgsGeometry, curve: float) -> tuple[QgsGeometry, bool]:
    """Return a shape without curves and measures, and whether it had curves."""
    if shape.isNull():
        return shape, False
    inside = shape.constGet()
    bent = bool(inside.hasCurvedSegments())
    if bent:
        kind = QgsAbstractGeometry.SegmentationToleranceType.MaximumDifference
        shape = QgsGeometry(inside.segmentize(curve, kind))
    elif inside.isMeasure():
        shape = QgsGeometry(shape)
    if shape.constGet().isMeasure():
        shape.get().dropMValue()
    return shape, bent


def _metres(crs: QgsCoordinateReferenceSystem) -> float:
    """Return how many metres a unit of a CRS has, near enough."""
    metres = QgsUnitTypes.DistanceUnit.DistanceMeters
    return float(QgsUnitTypes.fromUnitToUnitFactor(crs.mapUnits(), metres)) or 1.0


def _value(feature: QgsFeature, index: int) -> Any:
    return plain(feature.attribute(index))
