"""Results drawn in our way: legend, hatch, label, and the titles of the columns."""

from __future__ import annotations

from typing import Any

from qgis.core import (
    QgsFillSymbol,
    QgsLinePatternFillSymbolLayer,
    QgsLineSymbol,
    QgsMarkerSymbol,
    QgsPalLayerSettings,
    QgsPointPatternFillSymbolLayer,
    QgsRuleBasedRenderer,
    QgsSimpleLineSymbolLayer,
    QgsSymbol,
    QgsTextBufferSettings,
    QgsTextFormat,
    QgsVectorLayerSimpleLabeling,
    QgsWkbTypes,
)
from qgis.PyQt.QtGui import QColor

from .columns import columns
from .looks import DOTS, STYLES, Look, Style

PX_MM = 25.4 / 96
LIGHT, DARK = "#ffffff", "#24302a"
HALFWAY = 0.45  # relative luminance below which a hatch is drawn light
CASING_PX = 2.6  # white beside a line, so that it shows on dark lawn
TABLES = ("zones", "steps", "totals", "loads", "load_areas", "kept_clear", "passes", "bouts")


def apply(layer: Any, style: str) -> None:
    """Draw a layer in one of our styles, and give its columns titles with their units.

    Parameters
    ----------
    layer : QgsVectorLayer
    style : str
        A key of STYLES; empty for a table.
    """
    _title(layer)
    if style not in STYLES:
        return
    manager = layer.styleManager()
    for other in STYLES[style].others:
        if layer.fields().lookupField(_column_of(other)) >= 0:
            _draw(layer, STYLES[other])
            manager.addStyleFromLayer(other)
    _draw(layer, STYLES[style])
    manager.renameStyle(manager.currentStyle(), style.replace("_", " "))
    layer.triggerRepaint()


def height(style: str) -> int:
    """Return how high a layer lies among the results."""
    return STYLES[style].height if style in STYLES else 0


def _column_of(style: str) -> str:
    return {"work": "verdict"}.get(style, f"{style}_class")


def _title(layer: Any) -> None:
    """Give our columns their titles, unless the layer has its own."""
    known = {column.name: column.title for table in TABLES for column in reversed(columns(table))}
    fields = layer.fields()
    for index in range(fields.count()):
        title = known.get(fields.at(index).name())
        if title and not layer.attributeAlias(index):
            layer.setFieldAlias(index, title)


def _draw(layer: Any, style: Style) -> None:
    kind = layer.geometryType()
    root = QgsRuleBasedRenderer.Rule(None)
    parts = _parts(layer, style)
    for part in parts:
        above = root
        if part:
            above = QgsRuleBasedRenderer.Rule(
                None, 0, 0, f"\"{style.by}\" = '{part}'", _words(part)
            )
            above.setActive(part in style.shown or not {*parts} & {*style.shown})
            root.appendChild(above)
        for look in _looks(layer, style):
            test = look.test or ("ELSE" if len(style.looks) > 1 else "")
            rule = QgsRuleBasedRenderer.Rule(_symbol(look, kind), 0, 0, test, look.title)
            above.appendChild(rule)
    layer.setRenderer(QgsRuleBasedRenderer(root))
    if style.label:
        layer.setLabeling(QgsVectorLayerSimpleLabeling(_label(style.label)))
    layer.setLabelsEnabled(bool(style.label))


def _parts(layer: Any, style: Style) -> list[str]:
    """Return the kinds of work that a layer is parted into; one without a name for none."""
    place = layer.fields().lookupField(style.by) if style.by else -1
    return sorted(str(each) for each in layer.uniqueValues(place)) if place >= 0 else [""]


def _words(name: str) -> str:
    return name.replace("_", " ").replace("'", "")


def _looks(layer: Any, style: Style) -> list[Look]:
    """Return the looks that a layer has any row for, so that its legend has no idle entries."""
    if len(style.looks) == 1 or style is not STYLES["thatch"]:
        return list(style.looks)
    there = layer.uniqueValues(layer.fields().lookupField("thatch_class"))
    return [x for x in style.looks if not x.test or any(f"'{each}'" in x.test for each in there)]


def _symbol(look: Look, kind: Any) -> QgsSymbol:
    if kind == QgsWkbTypes.GeometryType.PointGeometry:
        return _marker(look)
    if kind == QgsWkbTypes.GeometryType.LineGeometry:
        line = QgsLineSymbol.createSimple(
            {"color": LIGHT, "width": f"{(look.width + CASING_PX) * PX_MM:.3f}"}
        )
        line.appendSymbolLayer(_stroke(look))
        return line
    return _area(look)


def _area(look: Look) -> QgsSymbol:
    colour = QColor(look.fill or LIGHT)
    colour.setAlphaF(look.veil if look.fill else 0.0)
    area = QgsFillSymbol.createSimple({"outline_style": "no"})
    area.symbolLayer(0).setFillColor(colour)
    ink = QColor(DARK if _luminance(QColor(look.fill or LIGHT)) > HALFWAY else LIGHT)
    ink.setAlphaF(0.5)
    for angle, distance in look.hatch:
        area.appendSymbolLayer(_hatch(angle, distance, ink))
    area.appendSymbolLayer(_stroke(look))
    return area


def _hatch(angle: float, distance: float, ink: QColor) -> Any:
    if angle == DOTS:
        dots = QgsPointPatternFillSymbolLayer()
        dots.setDistanceX(distance)
        dots.setDistanceY(distance)
        dots.setSubSymbol(
            QgsMarkerSymbol.createSimple({"name": "circle", "size": "0.5", "outline_style": "no"})
        )
        dots.subSymbol().setColor(ink)
        return dots
    lines = QgsLinePatternFillSymbolLayer()
    lines.setLineAngle(angle)
    lines.setDistance(distance)
    lines.setSubSymbol(QgsLineSymbol.createSimple({"width": "0.26"}))
    lines.subSymbol().setColor(ink)
    return lines


def _stroke(look: Look) -> Any:
    line = QgsSimpleLineSymbolLayer(QColor(look.stroke), look.width * PX_MM)
    if look.dash:
        line.setUseCustomDashPattern(True)
        line.setCustomDashVector([float(each) * PX_MM for each in look.dash.split()])
    return line


def _marker(look: Look) -> QgsSymbol:
    many = bool(look.test) or look.hatch != ()  # points of a grid, small and without an edge
    return QgsMarkerSymbol.createSimple(
        {
            "name": "circle" if many else "square",
            "color": look.fill,
            "size": "1.4" if many else "3",
            "outline_color": look.stroke,
            "outline_width": "0.1" if many else f"{look.width * PX_MM:.2f}",
        }
    )


def _label(expression: str) -> QgsPalLayerSettings:
    text = QgsTextFormat()
    text.setSize(8)
    text.setColor(QColor(DARK))
    edge = QgsTextBufferSettings()
    edge.setEnabled(True)
    edge.setSize(0.8)
    edge.setColor(QColor(LIGHT))
    text.setBuffer(edge)
    label = QgsPalLayerSettings()
    label.fieldName = expression
    label.isExpression = True
    label.setFormat(text)
    return label


def _luminance(colour: QColor) -> float:
    """Return the relative luminance of a colour (WCAG 2.2)."""
    parts = [
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4  # noqa: PLR2004
        for part in (colour.redF(), colour.greenF(), colour.blueF())
    ]
    return float(0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2])
