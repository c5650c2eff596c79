"""Areas by coordinates, by offsets and on the ellipsoid."""

from __future__ import annotations

import numpy as np

from lawnmap.geometry import offsets, wgs84
from tests.published.check import Check

MAHUN = "J. Mahun, Open Access Surveying Library, traverse computations"
MARYLAND = "University of Maryland Extension, Calculation example"
COURSE = "Basic civil engineering course notes (BrainKart), areas by offsets"
HANDOUT = "Area by offsets, a course hand-out"
EXAM = "An examination question bank, areas by offsets"
IOGP = "IOGP Guidance Note 7-2, method 9820"


def corners(*outlines: str) -> float:
    """Return area by the coordinates of corners, of one outline or several."""
    places = [
        [[float(each) for each in pair.split()] for pair in text.split(";")] for text in outlines
    ]
    return sum(offsets.area_by_coordinates(np.array(each)) for each in places)


def ordinate(widths: str, interval: float) -> float:
    """Return area by the mean of the offsets."""
    return offsets.average_ordinate(_widths(widths), interval)


def trapezia(widths: str, interval: float) -> float:
    """Return area by trapezia between the offsets."""
    found = _widths(widths)
    return offsets.trapezoidal(np.arange(len(found)) * float(interval), found)


def simpson(widths: str, interval: float) -> float:
    """Return area by Simpson's rule between the offsets."""
    return offsets.simpson(_widths(widths), interval)


def _widths(text: str) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    return np.array([float(each) for each in text.split()])


def constant(name: str) -> float:
    """Return a constant of the ellipsoid's equal-area mapping."""
    return float(getattr(wgs84, name))


GRS80 = "GRS 80 there, WGS 84 here"
NINE = "3.15 4.3 8.2 5.6 6.85 7.6 4.2 5.6 4.3"
THIRTEEN = "0.8 3.6 4.7 5.3 3.9 2.7 4.6 5.5 4.9 7.6 8.8 5.4 6.0"
EIGHT = "0 2.65 3.80 3.75 4.65 3.60 5.00 5.80"
CHECKS = [
    Check(
        MAHUN, corners, ("500 2000; 323.614 1561.426; 526.996 1488.321; 719.336 1686.956",),
        "102,935.7", "ft²",
    ),
    Check(
        MAHUN, corners, ("600 1000; 254.542 1209.288; 97.543 566.876; 470.303 397.969",),
        "250,550", "ft²", within=20, note="printed as ± 20 ft²",
    ),
    Check(
        MAHUN, corners,
        ("406.31 1259.97; 235.12 1489.47; 65.81 1126.40; 317.89 942.04; 675.32 1282.54",),
        "140,494", "ft²", within=1, note="from rounded products",
    ),
    Check(MARYLAND, corners, ("0 0; 130 0; 130 67; 0 67",), "8,710", "ft²"),
    Check(MARYLAND, corners, ("0 0; 20 0; 0 20",), "200", "ft²"),
    Check(
        MARYLAND, corners,
        ("0 0; 130 0; 130 67; 0 67", "0 0; 20 0; 0 20", "0 0; 20 0; 20 25; 0 25"), "9,410", "ft²",
    ),
    Check(
        COURSE, ordinate, (NINE, 10), "442.66", "m²", within=0.01,
        note="digits cut off, not rounded",
    ),
    Check(COURSE, trapezia, (NINE, 10), "460.75", "m²"),
    Check(COURSE, simpson, (NINE, 10), "461.167", "m²"),
    Check(HANDOUT, trapezia, (THIRTEEN, 3.5), "211.4", "m²"),
    Check(HANDOUT, simpson, (THIRTEEN, 3.5), "211.17", "m²"),
    Check(EXAM, trapezia, (EIGHT, 30), "790.5", "m²"),
    Check(EXAM, simpson, (EIGHT, 30), "781", "m²"),
    Check(IOGP, constant, ("Q_POLE",), "1.995531087", within=1e-9, note=GRS80),
    Check(IOGP, constant, ("AUTHALIC_RADIUS",), "6371007.181", "m"),
]  # fmt: skip
