"""From the pixels of a placed picture to longitude and latitude."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import numpy.typing as npt
import shapely

from lawnmap.geometry import crs as reference_system
from lawnmap.geometry.frame import Frame
from lawnmap.geometry.grid import Grid, Move, fitted
from lawnmap.processing.position.control import Agreement

Floats = npt.NDArray[np.float64]

PICKED_PX = 0.5  # how near, in each direction, a person picks a place in a picture; no source


@dataclass(frozen=True)
class PixelMap:
    """Where each pixel of a picture lies.

    Attributes
    ----------
    grid : Grid
        From column and row, counted from the outer corner, to `crs` or to metres in `frame`.
    width, height : int
        Of the picture, in pixels.
    crs : str or None
        Of a picture that says itself where it lies.
    frame : Frame or None
        Of a picture that was placed by control points.
    fit_sigma_m : float
        Standard error of the fit in each direction [m]; 0 when nothing was fitted.
    scale_sigma : float or None
        Standard error of the fitted scale, as a part of it; None where none is known.
    """

    grid: Grid
    width: int
    height: int
    crs: str | None = None
    frame: Frame | None = None
    fit_sigma_m: float = 0.0
    scale_sigma: float | None = None

    def to_lonlat(self, column_row: Floats) -> Floats:
        """Return (n, 2) longitudes and latitudes [°] of (n, 2) columns and rows."""
        places = self.grid.apply(column_row)
        if self.frame is not None:
            return self.frame.to_lonlat(places)
        shapes = np.asarray(shapely.points(places), dtype=object)
        moved = reference_system.to_lonlat(shapes, self.crs or reference_system.LONLAT)
        return np.asarray(shapely.get_coordinates(moved), dtype=np.float64)

    @property
    def middle(self) -> Frame:
        """Metres about the middle of the picture."""
        (at,) = self.to_lonlat(np.array([[self.width / 2, self.height / 2]]))
        return Frame(float(at[0]), float(at[1]))

    @property
    def pixel_m(self) -> float:
        """How wide a pixel is on the ground, the mean of both directions [m]."""
        metres = fitted(self._metres(self.middle), self.width, self.height)
        return float(np.sqrt(abs(metres.a * metres.e - metres.b * metres.d)))

    @property
    def sigma_m(self) -> float:
        """Standard error of a place picked in the picture, in each direction [m].

        That of the fit, and of picking to half a pixel.
        """
        return float(np.hypot(self.fit_sigma_m, PICKED_PX * self.pixel_m))

    def moved(self, apply: Move) -> PixelMap:
        """Return this map when its longitudes and latitudes are moved by `apply`."""
        (at,) = apply(self.to_lonlat(np.array([[self.width / 2, self.height / 2]])))
        frame = Frame(float(at[0]), float(at[1]))

        def metres(column_row: Floats) -> Floats:
            return frame.to_metres(apply(self.to_lonlat(column_row)))

        grid = fitted(metres, self.width, self.height)
        made = replace(self, grid=grid, crs=None, frame=frame)
        larger = made.pixel_m / self.pixel_m
        return replace(made, fit_sigma_m=self.fit_sigma_m * larger)

    def facts(self) -> dict[str, Any]:
        """Return this map as JSON has it."""
        frame = self.frame
        place = {"crs": self.crs} if frame is None else {"frame": [float(each) for each in frame]}
        grid = [float(each) for each in self.grid]
        sigmas = {"fit_sigma_m": float(self.fit_sigma_m), "scale_sigma": self.scale_sigma}
        return {"grid": grid, **place, **sigmas}

    def _metres(self, frame: Frame) -> Move:
        return lambda column_row: frame.to_metres(self.to_lonlat(column_row))


def from_facts(facts: Mapping[str, Any], width: int, height: int) -> PixelMap:
    """Return the map that :meth:`PixelMap.facts` told of."""
    frame = facts.get("frame")
    return PixelMap(
        grid=Grid(*facts["grid"]),
        width=width,
        height=height,
        crs=None if frame else facts["crs"],
        frame=Frame(*frame) if frame else None,
        fit_sigma_m=facts["fit_sigma_m"],
        scale_sigma=facts.get("scale_sigma"),
    )


def from_agreement(agreement: Agreement, width: int, height: int) -> PixelMap:
    """Return the map of a picture that was placed by control points.

    Its errors are those of the agreement. Without a check, for which it takes more points than the
    fit needs, the fit is taken to be out by half a pixel.
    """
    frame = agreement.frame

    def metres(column_row: Floats) -> Floats:
        return frame.to_metres(agreement.to_lonlat(column_row))

    made = PixelMap(fitted(metres, width, height), width, height, frame=frame)
    sigma = PICKED_PX * made.pixel_m if agreement.sigma_m is None else agreement.sigma_m
    return replace(made, fit_sigma_m=sigma, scale_sigma=agreement.scale_sigma)
