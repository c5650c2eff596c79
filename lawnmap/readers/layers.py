"""Choosing one layer of a site plan: the only one, or the one that was asked for by name."""

from __future__ import annotations

from typing import TYPE_CHECKING

from lawnmap.errors import InputRefused, LayerNeeded

if TYPE_CHECKING:
    from collections.abc import Sequence

    from lawnmap.found import Layer

MOST_SHOWN = 20


def choose(layers: Sequence[Layer], wanted: str | None) -> Layer:
    """Return the only layer, or the one called `wanted`.

    Raises
    ------
    LayerNeeded
        When there are several and none was asked for; the remedy lists them with their
        counts and areas.
    InputRefused
        When there is none at all, or none of that name.
    """
    if not layers:
        raise InputRefused("holds no features", remedy="Check that the plan was saved whole.")
    if wanted is None:
        if len(layers) > 1:
            raise LayerNeeded(f"holds {len(layers)} layers", remedy=_remedy(layers))
        return layers[0]
    for layer in layers:
        if layer.name == wanted:
            return layer
    raise InputRefused(f"holds no layer {wanted[:60]!r}", remedy=_remedy(layers))


def _remedy(layers: Sequence[Layer]) -> str:
    if len(layers) == 1:
        return f'Its only layer is "{layers[0].name}": leave --layer out.'
    shown = [_shown(layer) for layer in layers[:MOST_SHOWN]]
    if len(layers) > MOST_SHOWN:
        shown.append(f"and {len(layers) - MOST_SHOWN} more")
    return f"Choose with --layer (--layers lists them): {', '.join(shown)}."


def _shown(layer: Layer) -> str:
    """Return a layer's name with how many features it holds, and their area where it is known."""
    area = "" if layer.area_m2 is None else f", {layer.area_m2:,.1f} m²"
    return f'"{layer.name}" ({layer.count:,}{area})'
