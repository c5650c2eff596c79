"""The legend of the map: classes of colour, what else is drawn, and layers to be switched."""

from __future__ import annotations

from collections.abc import Sequence

import shapely

from lawnmap.exports.drawing import hatches, symbols
from lawnmap.exports.drawing.drawn import Drawing, points
from lawnmap.exports.drawing.kinds import kinds as drawn_kinds
from lawnmap.exports.drawing.layers import Layer
from lawnmap.exports.drawing.themes import Theme
from lawnmap.pages.escape import Html, join, tag


def classes(shown: Sequence[Theme]) -> Html:
    """Return the legend of the first theme, which is what the still plan is coloured by."""
    if not shown:
        return Html()
    theme = shown[0]
    found = [(label, f"{theme.name}-{place}") for place, label in enumerate(theme.labels)]
    if theme.unknown:
        found.append((theme.unknown, f"{theme.name}-none"))
    return join(
        tag("li", hatches.swatch(f"url(#{name})"), tag("span", label)) for label, name in found
    )


def kinds(drawn: Drawing) -> Html:
    """Return the legend of everything that is not lawn: each kind once, as it is drawn here."""
    return join(
        tag("li", symbols.sample(each.name, point=each.point), tag("span", each.label))
        for each in drawn_kinds(drawn)
    )


def layers(drawn: Drawing) -> Html:
    """Return what the visitor switches: with scripts blocked, the legend of what is shown."""
    items = []
    for place, layer in enumerate(drawn.layers):
        sample = "" if layer.key else symbols.sample(layer.look, point=_of_points(layer))
        box = tag("input", type="checkbox", checked=layer.shown or None, data_layer=place)
        steps = [
            tag("li", tag("span", hatches.swatch(each.colour), each.label)) for each in layer.key
        ]
        shades = tag("ul", *steps, class_="key") if steps else ""
        items.append(tag("li", tag("label", box, sample, tag("span", layer.label)), shades))
    return join(items)


def _of_points(layer: Layer) -> bool:
    return bool(len(points(shapely.GeometryCollection(layer.shapes))))
