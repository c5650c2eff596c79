"""How GIS programs draw the zones: a Styled Layer Descriptor 1.0.0 (OGC 02-070), moss by class."""

from __future__ import annotations

from collections.abc import Collection
from xml.sax.saxutils import escape

from lawnmap.exports.drawing.themes import PALETTES, UNKNOWN
from lawnmap.pages.words import word
from lawnmap.reference.rows import RatingClass
from lawnmap.reference.tables import scale

OUTLINE = "#333333"
OUTLINE_PX = "0.8"
OPACITY = "0.85"  # what lies below may be seen
HEAD = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<StyledLayerDescriptor version="1.0.0" xmlns="http://www.opengis.net/sld"'
    ' xmlns:ogc="http://www.opengis.net/ogc">'
)


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
    classes = zip(scale("moss"), PALETTES["moss"], strict=True)
    rules = [_rule(each.word, colour, _equal(by, each)) for each, colour in classes]
    rules.append(_rule(word("theme.unknown"), UNKNOWN, "<ElseFilter/>"))
    name, title = escape(layer), escape(word("theme.moss"))
    return (
        f"{HEAD}<NamedLayer><Name>{name}</Name><UserStyle><Name>moss</Name><Title>{title}</Title>"
        f"<IsDefault>1</IsDefault><FeatureTypeStyle>{''.join(rules)}</FeatureTypeStyle>"
        "</UserStyle></NamedLayer></StyledLayerDescriptor>\n"
    )


def _equal(column: str, moss: RatingClass) -> str:
    value = moss.word if column == "moss_class" else str(moss.rating)
    return (
        f"<ogc:Filter><ogc:PropertyIsEqualTo><ogc:PropertyName>{escape(column)}</ogc:PropertyName>"
        f"<ogc:Literal>{escape(value)}</ogc:Literal></ogc:PropertyIsEqualTo></ogc:Filter>"
    )


def _rule(title: str, colour: str, which: str) -> str:
    return (
        f"<Rule><Name>{escape(title)}</Name><Title>{escape(title)}</Title>{which}"
        f"<PolygonSymbolizer><Fill>{_css('fill', colour)}{_css('fill-opacity', OPACITY)}</Fill>"
        f"<Stroke>{_css('stroke', OUTLINE)}{_css('stroke-width', OUTLINE_PX)}</Stroke>"
        "</PolygonSymbolizer></Rule>"
    )


def _css(name: str, value: str) -> str:
    return f'<CssParameter name="{name}">{value}</CssParameter>'
