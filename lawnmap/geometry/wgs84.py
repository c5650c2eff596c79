"""The WGS 84 ellipsoid, its authalic sphere, and its radii of curvature.

Sources
-------
The authalic latitude and radius are those of EPSG method 9820 (IOGP, Guidance Note 7-2).
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

A = 6_378_137.0  # equatorial radius [m]
F = 1 / 298.257_223_563
E2 = F * (2 - F)
E = np.sqrt(E2)


def authalic_q(sin_latitude: Floats | float) -> Floats:
    """Return the authalic q of a latitude (EPSG method 9820)."""
    s = np.asarray(sin_latitude, dtype=np.float64)
    q: Floats = (1 - E2) * (s / (1 - E2 * s * s) + np.arctanh(E * s) / E)
    return q


Q_POLE = float(authalic_q(1.0))
AUTHALIC_RADIUS = float(A * np.sqrt(Q_POLE / 2))  # [m]


def radii(sin_latitude: Floats) -> tuple[Floats, Floats]:
    """Return the radii of curvature across the meridian and along it [m]."""
    w2 = 1 - E2 * sin_latitude * sin_latitude
    across = A / np.sqrt(w2)
    return across, across * (1 - E2) / w2
