"""Write the heights of the invented garden: spot heights, a grid of heights, and the lawns.

Run it from the top of the source tree: ``python sample_geo/plans/make_heights.py``. The ground is
a formula, so that the true area of each lawn along its slopes can be worked out to any digit:
all of it falls 2 % to the west, the back lawn has a bank across it that is 2 m high, and the front
lawn falls 8 % to the street.
"""

from __future__ import annotations

import csv
import json
import math
import sys
from pathlib import Path

import numpy as np
import pyproj
import shapely
from PIL import Image, TiffImagePlugin

sys.path.insert(0, str(Path(__file__).parents[1]))

from garden import ANCHOR, TURN_DEG, ZONES, Ring, turned

from lawnmap.geometry.frame import Frame

HERE = Path(__file__).parent
FLOOR_M = 20.0
CROSSFALL = 0.02  # rise to a metre of x
BANK_M, BANK = 2.0, (16.0, 24.0)  # how high it is, and from which y to which
STREET, STREET_FALL = -3.0, 0.08  # from this y down
SPOT_M, SPOT_NOISE_M, SEED = 1.6, 0.005, 20_270_304  # between spots; a staff read to 5 mm
CELL_M, CELL_NOISE_M, EMPTY = 0.5, 0.03, -9999.0
MARGIN_M = 3.0
UTM = "EPSG:32631"


def height(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """Return the height of the ground at places in the garden [m]."""
    low, high = BANK
    part = np.clip((y - low) / (high - low), 0, 1)
    bank = BANK_M / 2 * (1 - np.cos(math.pi * part))
    return FLOOR_M + CROSSFALL * x + bank + STREET_FALL * np.minimum(y - STREET, 0)


def steepness(y: np.ndarray) -> np.ndarray:
    """Return the rise of the ground to a metre of y, which no x changes."""
    low, high = BANK
    part = np.clip((y - low) / (high - low), 0, 1)
    bank = BANK_M / 2 * math.pi / (high - low) * np.sin(math.pi * part)
    return bank + np.where(y < STREET, STREET_FALL, 0.0)


def ground_area(shape: shapely.Geometry, slices: int = 4000) -> float:
    """Return the area along the slopes of a shape in the garden's metres [m²].

    The ground is as steep all along a line of one y, so it is the integral over y of how wide the
    shape is there, times how much the ground stretches. By the midpoint rule.
    """
    west, south, east, north = shape.bounds
    corners = shapely.get_coordinates(shape)[:, 1]  # where the width may jump
    edges = np.unique(np.concatenate([np.linspace(south, north, slices + 1), corners]))
    y = (edges[1:] + edges[:-1]) / 2
    lines = shapely.linestrings([[[west - 1, each], [east + 1, each]] for each in y])
    width = shapely.length(shapely.intersection(lines, shape))
    stretch = np.sqrt(1 + CROSSFALL**2 + steepness(y) ** 2)
    return float((width * stretch * np.diff(edges)).sum())


def lonlat(points: Ring | np.ndarray) -> np.ndarray:
    """Return longitude and latitude of places in the garden."""
    return Frame(*ANCHOR).to_lonlat(np.array([turned(*point) for point in np.asarray(points)]))


def spots() -> None:
    """Write spot heights, about as they are taken along lines over each lawn and at its corners."""
    chance = np.random.default_rng(SEED)
    places: list[tuple[float, float]] = []
    for ring in ZONES.values():
        lawn = shapely.Polygon(ring)
        west, south, east, north = lawn.bounds
        x, y = np.meshgrid(np.arange(west, east, SPOT_M), np.arange(south, north, SPOT_M))
        walked = np.column_stack([x.ravel(), y.ravel()]) + chance.normal(0, 0.15, (x.size, 2))
        within = shapely.contains_xy(shapely.buffer(lawn, -SPOT_M / 3), *walked.T)
        along = [lawn.exterior.interpolate(at) for at in np.arange(0, lawn.length, 1.5 * SPOT_M)]
        places += [*ring, *((point.x, point.y) for point in along), *walked[within].tolist()]
    xy = np.unique(np.round(places, 2), axis=0)
    heights = height(*xy.T) + chance.normal(0, SPOT_NOISE_M, len(xy))
    with (HERE / "heights.csv").open("w", encoding="utf-8", newline="") as stream:
        table = csv.writer(stream, lineterminator="\n")
        table.writerow(["point", "lon", "lat", "height_m"])
        for number, ((lon, lat), each) in enumerate(zip(lonlat(xy), heights, strict=True), 1):
            table.writerow([f"h{number}", f"{lon:.9f}", f"{lat:.9f}", f"{each:.3f}"])


def grid() -> None:
    """Write a grid of heights as GeoTIFF in UTM (OGC 19-008r4), rows down from the north."""
    utm = pyproj.Transformer.from_crs("OGC:CRS84", UTM, always_xy=True)
    corners = [point for ring in ZONES.values() for point in ring]
    east, north = utm.transform(*lonlat(corners).T)
    west, top = np.floor(east.min() - MARGIN_M), np.ceil(north.max() + MARGIN_M)
    columns = int((east.max() + MARGIN_M - west) / CELL_M) + 1
    rows = int((top - north.min() + MARGIN_M) / CELL_M) + 1
    row, column = np.indices((rows, columns)) + 0.5
    lon, lat = utm.transform(west + column * CELL_M, top - row * CELL_M, direction="INVERSE")
    metres = Frame(*ANCHOR).to_metres(np.column_stack([lon.ravel(), lat.ravel()]))
    turn = math.radians(TURN_DEG)
    x = metres[:, 0] * math.cos(turn) + metres[:, 1] * math.sin(turn)
    y = metres[:, 1] * math.cos(turn) - metres[:, 0] * math.sin(turn)
    chance = np.random.default_rng(SEED)
    cells = height(x, y) + chance.normal(0, CELL_NOISE_M, x.size)
    cells = np.round(cells, 2).reshape(rows, columns)
    cells[:20, :20] = EMPTY
    tags = TiffImagePlugin.ImageFileDirectory_v2()
    for tag, values in {
        33550: (CELL_M, CELL_M, 0.0),
        33922: (0.0, 0.0, 0.0, west, top, 0.0),
    }.items():
        tags[tag] = tuple(float(each) for each in values)
        tags.tagtype[tag] = 12  # double
    # Version 1.1.0 and four keys: projected, pixel is area, EPSG 32631, metres.
    tags[34735] = (1, 1, 0, 4, 1024, 0, 1, 1, 1025, 0, 1, 1, 3072, 0, 1, 32631, 3076, 0, 1, 9001)
    tags.tagtype[34735] = 3  # short
    tags[42113] = f"{EMPTY:.0f}"
    image = Image.fromarray(cells.astype(np.float32))
    image.save(HERE / "heights.tif", compression="tiff_deflate", tiffinfo=tags)


def lawns() -> None:
    """Write the outlines that the heights are for."""
    features = [
        {
            "type": "Feature",
            "properties": {"feature": "zone", "name": name, "outline_source": "drawing"},
            "geometry": {
                "type": "Polygon",
                "coordinates": [lonlat([*ring, ring[0]]).round(9).tolist()],
            },
        }
        for name, ring in ZONES.items()
    ]
    text = json.dumps({"type": "FeatureCollection", "features": features}, indent=1)
    (HERE / "lawns.geojson").write_text(text + "\n", encoding="utf-8")


def main() -> None:
    """Write every file."""
    spots()
    grid()
    lawns()


if __name__ == "__main__":
    main()
