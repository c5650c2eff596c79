"""GeoJSON features, many at a time: texts to columns and shapes, checked, without GDAL.

orjson parses them when it is installed, and the standard library otherwise. Shapes are made from
all coordinates at once; where something is wrong that is halved until one feature is left, so that
it can be said what.
"""

from __future__ import annotations

import contextlib
import gc
import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from importlib import import_module
from importlib.util import find_spec
from typing import Any

import numpy as np
import numpy.typing as npt
import shapely

from lawnmap.files.limits import BULK
from lawnmap.jobs.sites.door.arrow import pa
from lawnmap.jobs.sites.door.drawn import alone, drawn
from lawnmap.jobs.sites.door.plain import FIGURES
from lawnmap.jobs.sites.door.trouble import Trouble

Feature = dict[str, Any]
Shapes = npt.NDArray[np.object_]

GEOMETRY = "geometry"
LARGEST = 10**30  # a whole number that is still read
EXACT = 2**53  # below it every whole number is a double
FLAWS = (TypeError, ValueError, OverflowError, KeyError, shapely.errors.ShapelyError)
NESTING_ERRORS = (ValueError, RecursionError, UnicodeDecodeError)


@contextlib.contextmanager
def unswept() -> Iterator[None]:
    """Pause the garbage collector, which would walk over a million new lists again and again.

    What was parsed should be gone when this ends, or it is walked over after all.
    """
    on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if on:
            gc.enable()


def parsed(
    texts: Sequence[bytes | None], trouble: Trouble, *, first: int = 0
) -> list[Feature | None]:
    """Return each text as a feature with properties; None for what is none, which is told.

    Parameters
    ----------
    texts : sequence of bytes or None
        None for one that is too long.
    trouble : Trouble
        Is told of rows from `first` on.
    first : int
    """
    found: list[Feature | None] = []
    for row, text in enumerate(texts, first):
        try:
            found.append(_feature(text))
        except NESTING_ERRORS as error:
            trouble.add(row, "", _said(error))
            found.append(None)
    return found


def properties(found: Sequence[Feature | None], used: Mapping[str, str]) -> list[dict[str, Any]]:
    """Return the properties that are wanted, under our names."""
    pairs = tuple(used.items())
    nothing: Mapping[str, Any] = {}
    each_has = (each["properties"] if each else nothing for each in found)
    return [{own: has.get(theirs) for own, theirs in pairs} for has in each_has]


def columns(
    rows: Sequence[Mapping[str, Any]], wanted: Iterable[str], trouble: Trouble
) -> dict[str, pa.Array]:
    """Return properties as columns: float64, or text.

    Parameters
    ----------
    rows : sequence of mapping
        As :func:`properties` made them.
    wanted : iterable of str
        Our names.
    trouble : Trouble
        Is told of values that are neither text nor number.
    """
    return {own: _column(own, [row[own] for row in rows], trouble) for own in wanted}


def shapes(found: Sequence[Feature | None], trouble: Trouble, *, first: int = 0) -> Shapes:
    """Return the shapes; what is wrong with their structure is told, of rows from `first` on."""
    result = np.full(len(found), None, dtype=object)
    places = [place for place, each in enumerate(found) if each and each.get(GEOMETRY)]
    halves = [places] if places else []
    while halves:
        some = halves.pop()
        geometries = [found[place][GEOMETRY] for place in some]  # type: ignore[index]  # not None
        try:
            result[some] = drawn(geometries)
        except FLAWS:
            middle = len(some) // 2
            if middle:
                halves += [some[:middle], some[middle:]]
            else:
                result[some[0]] = alone(geometries[0], some[0] + first, trouble)
    return result


# Texts -------------------------------------------------------------------------------------------


def _feature(text: bytes | None) -> Feature:
    """Return a feature whose properties are a dictionary, its id among them."""
    if text is None:
        raise ValueError(f"it is longer than {400 * BULK.vertices:,} bytes")
    value = _loads(text)
    if type(value) is not dict or value.get("type") != "Feature":
        raise ValueError("it is not a GeoJSON feature")
    if "crs" in value:
        raise ValueError("it names a CRS of its own")
    properties = value.get("properties")
    if properties is None:
        properties = {}
    if type(properties) is not dict:
        raise ValueError("its properties are not an object")
    if value.get("id") is not None:
        properties.setdefault("id", value["id"])
    value["properties"] = properties
    return value


def _constant(text: str) -> Any:
    raise ValueError(f"{text} is not a number JSON knows")


def _by_the_library(text: bytes) -> Any:
    return json.loads(text.decode("utf-8"), parse_constant=_constant)


def _parser() -> Callable[[bytes], Any]:
    if find_spec("orjson") is None:
        return _by_the_library
    loads: Callable[[bytes], Any] = import_module("orjson").loads
    return loads


_loads = _parser()


def _said(error: Exception) -> str:
    if isinstance(error, RecursionError):
        return "its brackets are nested too deep"
    if isinstance(error, json.JSONDecodeError):  # orjson's own is one of these
        return f"it is not JSON: {error.msg[:80]}"
    if isinstance(error, UnicodeDecodeError):
        return "its text is not in UTF-8"
    return str(error)


# Columns -----------------------------------------------------------------------------------------


def _column(own: str, values: list[Any], trouble: Trouble) -> pa.Array:
    """Return values as one kind of column."""
    kinds = set(map(type, values)) - {type(None)}
    with contextlib.suppress(pa.ArrowException, OverflowError, UnicodeEncodeError):
        if kinds <= {str}:
            return pa.array(values, pa.string())
        if kinds <= {float, int} and own in FIGURES:
            return pa.array(values, pa.float64())
    texts = []
    for row, value in enumerate(values):
        try:
            texts.append(_text(value))
        except ValueError as error:
            trouble.add(row, own, f"{own} {error}")
            texts.append(None)
    return pa.array(texts, pa.string())


def _text(value: Any) -> str | None:
    """Return text or a number as text."""
    if value is None:
        return None
    if type(value) is str:
        if value.isascii() or value.encode("utf-8", "replace").decode("utf-8") == value:
            return value
        raise ValueError("holds half a character (an unpaired surrogate)")
    if type(value) is int:
        if abs(value) >= LARGEST:
            raise ValueError("holds a number with too many digits")
        return str(value)
    if type(value) is float:
        return f"{value:.0f}" if value.is_integer() and abs(value) < EXACT else repr(value)
    raise ValueError("is neither text nor a number")
