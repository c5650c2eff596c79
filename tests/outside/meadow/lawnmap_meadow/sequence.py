"""GeoJSON text sequences (RFC 8142): many GeoJSON texts, each after a record separator."""

from __future__ import annotations

import json
from typing import Any

from lawnmap.errors import InputRefused, LayerNeeded
from lawnmap.files.admit import Source
from lawnmap.found import Feature, Found, Layer

TITLE = "GeoJSON text sequence (RFC 8142)"
KINDS = ("geojsons",)
CHILD = False

SEPARATOR = b"\x1e"
LONLAT = ("OGC:CRS84", "EPSG:4326")
SINGLE = "features"  # the layer of texts that are one feature each


def look(source: Source) -> list[Layer]:
    """List the layers: each FeatureCollection is one, and all single features are another."""
    return [
        Layer(name, len(features), tuple(sorted({each.geometry["type"] for each in features})))
        for name, features in _layers(source).items()
    ]


def read(
    source: Source, *, layer: str | None = None, crs: str | None = None, units: str | None = None
) -> Found:
    """Return the features of one layer; lawnmap checks their positions itself."""
    if crs not in {None, *LONLAT} or units:
        raise InputRefused(
            "is in longitude and latitude, as RFC 8142 says", remedy="Leave --crs and --units out."
        )
    layers = _layers(source)
    if layer is None and len(layers) > 1:
        raise LayerNeeded("has several layers", remedy=f"Give --layer: {', '.join(layers)}.")
    if layer is not None and layer not in layers:
        raise InputRefused(f"has no layer {layer!r}", remedy=f"There are: {', '.join(layers)}.")
    features = layers[layer or next(iter(layers))]
    return Found(tuple(features), "OGC:CRS84")


def _layers(source: Source) -> dict[str, list[Feature]]:
    before, *texts = source.data.split(SEPARATOR)
    if before.strip() or not texts:
        raise InputRefused(
            "does not begin with a record separator", remedy="Save it as RFC 8142 has it."
        )
    layers: dict[str, list[Feature]] = {}
    for number, text in enumerate(texts, 1):
        place = f"text {number}"
        value = _parsed(text, place)
        if value.get("type") == "FeatureCollection":
            name = str(value.get("name") or place)
            for count, each in enumerate(value.get("features") or (), 1):
                layers.setdefault(name, []).append(_feature(each, f"{place}, feature {count}"))
        else:
            layers.setdefault(SINGLE, []).append(_feature(value, place))
    return layers


def _parsed(text: bytes, place: str) -> dict[str, Any]:
    try:
        value = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise InputRefused(
            "is no JSON, or was cut off", place=place, remedy="Save the file again."
        ) from error
    return value if isinstance(value, dict) else {}


def _feature(value: Any, place: str) -> Feature:
    geometry = value.get("geometry") if isinstance(value, dict) else None
    if not isinstance(geometry, dict) or "coordinates" not in geometry:
        raise InputRefused(
            "is no feature with a geometry", place=place, remedy="Correct it, or take it out."
        )
    properties = value.get("properties") or {}
    name = f' "{properties["name"]}"' if "name" in properties else ""
    return Feature(geometry, properties, place + name)
