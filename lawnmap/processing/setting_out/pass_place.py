"""A step and its zone as pass lines need them: machine, ground in metres, where one comes from."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

import geopandas as gpd
import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from lawnmap.geometry.frame import Frame, about
from lawnmap.geometry.passes.laying import Laid
from lawnmap.model import Machine, Specification
from lawnmap.processing.setting_out.pass_ground import Ground, ground

ELECTRIC = "electric"
WHOLE = 0.99  # of the ground: a step on less is on patches, which nobody has mapped


class Work(NamedTuple):
    """A step that is walked in bouts, with its machine."""

    step: Mapping[str, Any]
    machine: Machine
    kind: str


class Place(NamedTuple):
    """A zone as the lines need it: its row, ground, frame, ground in metres, and features."""

    zone: Mapping[str, Any]
    ground: Ground
    frame: Frame
    area: BaseGeometry
    features: gpd.GeoDataFrame


def placed(
    zones: gpd.GeoDataFrame,
    work: Work,
    layers: Mapping[str, gpd.GeoDataFrame],
    features: gpd.GeoDataFrame,
    specification: Specification,
) -> Place | None:
    """Return where a step's lines lie; None where it has no ground, or patches of it only.

    Parameters
    ----------
    zones : GeoDataFrame
        With the columns of the step ``choose``.
    work : Work
        The step and its machine.
    layers : mapping of str to GeoDataFrame
        ``lawn``, ``treatable`` and ``kept_clear``.
    features : GeoDataFrame
    specification : Specification
    """
    zone_id = str(work.step["zone_id"])
    found = ground(zone_id, work.kind, layers, features, specification)
    if found.area.is_empty or float(work.step["area_m2"]) < WHOLE * found.area_m2:
        return None
    frame = about(found.area)
    zone = {str(key): value for key, value in zones.loc[zone_id].items()}
    return Place(zone, found, frame, frame.flat(np.array([found.area]))[0], features)


def start(place: Place, machine: Machine) -> tuple[float, float] | None:
    """Return where one comes from: the socket with a cable, else the nearest way in."""
    sockets = _sockets(place.features)
    here = sockets if machine.kind == ELECTRIC and len(sockets) else None
    if here is None:
        here = place.features[place.features["feature"] == "access"]
    if not len(here):
        return None
    flat = place.frame.flat(np.asarray(here.geometry.array, dtype=object))
    nearest = flat[np.argmin(shapely.distance(flat, place.area))]
    east, north = shapely.get_coordinates(nearest.centroid)[0]
    return float(east), float(north)


def _sockets(features: gpd.GeoDataFrame) -> gpd.GeoDataFrame:
    return features[(features["feature"] == "supply") & (features["supply_kind"] == "socket")]


def cable_m(place: Place, machine: Machine, laid: Laid) -> float:
    """Return how far the farthest bout is from the nearest socket, as the crow flies [m]."""
    sockets = _sockets(place.features)
    if machine.kind != ELECTRIC or not len(sockets) or not laid.rounds:
        return np.nan
    flat = place.frame.flat(np.asarray(sockets.geometry.array, dtype=object))
    rounds = shapely.get_coordinates(np.array(laid.rounds, dtype=object))
    corners = np.concatenate([rounds, laid.bouts.reshape(-1, 2)])
    away = np.hypot(*(corners[:, None] - shapely.get_coordinates(flat)[None]).transpose(2, 0, 1))
    return float(away.max(axis=0).min())
