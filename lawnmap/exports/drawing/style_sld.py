"""How GIS programs draw a layer: a Styled Layer Descriptor 1.0.0 (OGC 02-070)."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from typing import NamedTuple
from xml.sax.saxutils import escape

from lawnmap.exports.drawing import symbols
from lawnmap.exports.drawing.symbols import Look
from lawnmap.exports.drawing.themes import PALETTES, UNKNOWN
from lawnmap.pages.words import known, word
from lawnmap.reference.tables import scale

OUTLINE = "#333333"
OUTLINE_PX = 0.8
VEIL = 0.85  # what lies below may be seen
POINT_PX = 9
HEAD = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<StyledLayerDescriptor version="1.0.0" xmlns="http://www.opengis.net/sld"'
    ' xmlns:ogc="http://www.opengis.net/ogc">'
)
AREA, LINE, POINT = "area", "line", "point"
# What is drawn by the values of one column: its name, and the look of each value.
PARTED = {
    "kept_clear": ("strip", {each: f"kept_clear {each}" for each in ("untreated", "hand")}),
    "bouts": ("pass", {"1": "bouts 1", "2": "bouts 2"}),
}


class Rule(NamedTuple):
    """One rule: its title, what it looks like, and the cell it is for; None is all the rest."""

    title: str
    look: Look
    cell: str | None = None


def moss_style(layer: str, columns: Collection[str]) -> str:
    """Return the style of the zones by moss class.

    Parameters
    ----------
    layer : str
        Name of the layer that is drawn.
    columns : collection of str
        The columns it has: the worked-out class in words is used, or else the rating.

    Returns
    -------
    str
        XML; empty when the layer has neither column.
    """
    by = next((name for name in ("moss_class", "moss_rating") if name in columns), None)
    if by is None:
        return ""
    rules = [
        Rule(each.word, _moss(colour), each.word if by == "moss_class" else str(each.rating))
        for each, colour in zip(scale("moss"), PALETTES["moss"], strict=True)
    ]
    rules.append(Rule(word("theme.unknown"), _moss(UNKNOWN)))
    return _document(layer, "moss", word("theme.moss"), [_rule(each, by, AREA) for each in rules])


def feature_style(layer: str, shape: str, kinds: Iterable[str]) -> str:
    """Return the style of a layer of features by their kind, as they are drawn on the map.

    Parameters
    ----------
    layer : str
    shape : str
        ``area``, ``line`` or ``point``.
    kinds : iterable of str
        What is in it.
    """
    rules = [Rule(known("feature", each), symbols.look(each), each) for each in kinds]
    found = [_rule(each, "feature", shape) for each in rules]
    return _document(layer, "features", word("title.features"), found)


def set_out_style(layer: str, shape: str, columns: Collection[str]) -> str:
    """Return the style of a layer of what is set out on the ground, as it is drawn on the map."""
    by, looks = PARTED.get(layer, ("", {}))
    title = known("layer", layer)
    by = by if by in columns else ""
    if by:
        rules = [Rule(f"{title}: {each}", symbols.look(x), each) for each, x in looks.items()]
        rules.append(Rule(title, symbols.look(next(iter(looks.values())))))
    else:
        rules = [Rule(title, symbols.look(layer if not looks else next(iter(looks.values()))))]
    return _document(layer, layer, title, [_rule(each, by, shape) for each in rules])


def _moss(colour: str) -> Look:
    return Look(colour, OUTLINE, OUTLINE_PX, veil=VEIL)


def _document(layer: str, name: str, title: str, rules: Iterable[str]) -> str:
    return (
        f"{HEAD}<NamedLayer><Name>{escape(layer)}</Name><UserStyle><Name>{escape(name)}</Name>"
        f"<Title>{escape(title)}</Title><IsDefault>1</IsDefault>"
        f"<FeatureTypeStyle>{''.join(rules)}</FeatureTypeStyle>"
        "</UserStyle></NamedLayer></StyledLayerDescriptor>\n"
    )


def _rule(rule: Rule, by: str, shape: str) -> str:
    which = "" if not by else "<ElseFilter/>"
    if rule.cell is not None:
        which = (
            f"<ogc:Filter><ogc:PropertyIsEqualTo><ogc:PropertyName>{escape(by)}</ogc:PropertyName>"
            f"<ogc:Literal>{escape(rule.cell)}</ogc:Literal></ogc:PropertyIsEqualTo></ogc:Filter>"
        )
    title = escape(rule.title)
    return (
        f"<Rule><Name>{title}</Name><Title>{title}</Title>{which}{SHAPES[shape](rule.look)}</Rule>"
    )


def _area(look: Look) -> str:
    return f"<PolygonSymbolizer>{_fill(look)}{_stroke(look)}</PolygonSymbolizer>"


def _line(look: Look) -> str:
    return f"<LineSymbolizer>{_stroke(look)}</LineSymbolizer>"


def _point(look: Look) -> str:
    white = _css("Fill", {"fill": "#ffffff"})
    edge = _css("Stroke", {"stroke": look.stroke, "stroke-width": "1.5"})
    mark = f"<Mark><WellKnownName>square</WellKnownName>{white}{edge}</Mark>"
    size = f"<Size>{POINT_PX}</Size>"
    return f"<PointSymbolizer><Graphic>{mark}{size}</Graphic></PointSymbolizer>"


SHAPES = {AREA: _area, LINE: _line, POINT: _point}


def _fill(look: Look) -> str:
    if not look.fill:
        return ""
    return _css("Fill", {"fill": look.fill, "fill-opacity": f"{look.veil:g}"})


def _stroke(look: Look) -> str:
    shown = {"stroke": look.stroke, "stroke-width": f"{look.width:g}"}
    return _css("Stroke", shown | ({"stroke-dasharray": look.dash} if look.dash else {}))


def _css(name: str, parameters: Mapping[str, str]) -> str:
    inside = "".join(
        f'<CssParameter name="{key}">{value}</CssParameter>' for key, value in parameters.items()
    )
    return f"<{name}>{inside}</{name}>"
