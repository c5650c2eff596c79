"""The turf type of each zone, and what the reference table says of it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple

import geopandas as gpd
import numpy as np
import numpy.typing as npt

from lawnmap.model import Specification
from lawnmap.processing.judgement.cases import Codes, Mask, Texts, by_choice, by_value
from lawnmap.reference import tables
from lawnmap.reference.rows import Turf

USUAL = "general lawn"


class Turfs(NamedTuple):
    """Turf types of zones, each as its place in the reference table."""

    codes: Codes

    def of(self, read: Callable[[Turf], Any]) -> npt.NDArray[Any]:
        """Return what is read from the turf type of each zone; every type is read once."""
        return np.array([read(each) for each in tables.turfs().values()])[self.codes]


def turfs(zones: gpd.GeoDataFrame, specification: Specification) -> Turfs:
    """Return the turf type of each zone: as mapped, else as chosen."""
    place = {name: number for number, name in enumerate(tables.turfs())}

    def code(name: str | None) -> int:
        return place[tables.turf(name or USUAL).turf_type]

    chosen = by_choice(specification, "turf_type", zones.index, code)
    mapped = by_value(zones["turf_type"], code, -1)
    return Turfs(np.where(mapped >= 0, mapped, chosen).astype(np.int8))


def fine(turf: Turfs) -> Mask:
    """Return where the turf turns on millimetres that a class cannot tell."""
    return turf.of(lambda each: each.measured_only)


def turf_types(zones: gpd.GeoDataFrame, specification: Specification) -> Texts:
    """Return the turf type of each zone by name."""
    return np.array(list(tables.turfs()), dtype=object)[turfs(zones, specification).codes]
