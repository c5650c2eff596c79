"""Projections and fits of control points."""

from __future__ import annotations

import numpy as np
import shapely

from lawnmap.geometry import crs
from lawnmap.geometry.fit import similarity
from tests.published.check import Check

LAEA = "IOGP Guidance Note 7-2, method 9820, EPSG:3035"
MERCATOR = "IOGP Guidance Note 7-2, method 1024, EPSG:3857"
ITM = "OSi/OSNI, Irish Transverse Mercator, its origin, EPSG:2157"
OS = (
    "Ordnance Survey, A guide to coordinate systems in Great Britain, annexe C, Caister water tower"
)
GHILANI = "C. D. Ghilani and P. R. Wolf, Adjustment Computations, section 18, example"
SOURCE = np.array([[121.622, -128.066], [141.228, 187.718], [175.802, 135.728]])
TARGET = np.array([[1049422.40, 51089.20], [1049413.95, 49659.30], [1049244.95, 49884.95]])


def longitude(code: str, east: float, north: float) -> float:
    """Return longitude of a point of a projected system."""
    return float(crs.to_lonlat(np.array([shapely.Point(east, north)]), code)[0].x)


def latitude(code: str, east: float, north: float) -> float:
    """Return latitude of a point of a projected system."""
    return float(crs.to_lonlat(np.array([shapely.Point(east, north)]), code)[0].y)


def fitted(name: str) -> float:
    """Return what a similarity by least squares finds."""
    return float(getattr(similarity(SOURCE, TARGET), name))


def put(axis: int, x: float, y: float) -> float:
    """Return where the same similarity puts a point."""
    return float(similarity(SOURCE, TARGET).apply(np.array([[x, y]]))[0][axis])


CM = "coordinates printed to 0.01 m"
SHIFT = "by the seven-parameter shift, good to about 5 m"
CHECKS = [
    Check(LAEA, longitude, ("EPSG:3035", 3962799.45, 2999718.85), "5", "°", within=2e-7, note=CM),
    Check(LAEA, latitude, ("EPSG:3035", 3962799.45, 2999718.85), "50", "°", within=2e-7, note=CM),
    Check(
        MERCATOR, longitude, ("EPSG:3857", -11169055.58, 2800000.0), "-100.333333333", "°",
        within=2e-7, note=f"printed 100° 20' 0\" W; {CM}",
    ),
    Check(
        MERCATOR, latitude, ("EPSG:3857", -11169055.58, 2800000.0), "24.381786944", "°",
        within=2e-7, note=f"printed 24° 22' 54.433\" N; {CM}",
    ),
    Check(ITM, longitude, ("EPSG:2157", 600000, 750000), "-8", "°", within=1e-9, note="exact"),
    Check(ITM, latitude, ("EPSG:2157", 600000, 750000), "53.5", "°", within=1e-9, note="exact"),
    Check(OS, longitude, ("EPSG:27700", 651409.903, 313177.27), "1.716051944", "°", within=8e-5,
          note=f"printed 1° 42' 57.787\" E; {SHIFT}"),
    Check(OS, latitude, ("EPSG:27700", 651409.903, 313177.27), "52.657978611", "°", within=5e-5,
          note=f"printed 52° 39' 28.723\" N; {SHIFT}"),
    Check(GHILANI, fitted, ("a",), "-4.51249"),
    Check(GHILANI, fitted, ("b",), "-0.25371"),
    Check(GHILANI, fitted, ("east",), "1050003.715", "m"),
    Check(GHILANI, fitted, ("north",), "50542.131", "m"),
    Check(GHILANI, fitted, ("scale",), "4.51962"),
    Check(GHILANI, put, (0, 174.148, -120.262), "1049187.361", "m"),
    Check(GHILANI, put, (1, 174.148, -120.262), "51040.629", "m"),
    Check(GHILANI, put, (0, 972.788, 120.994), "1045644.713", "m"),
]  # fmt: skip
