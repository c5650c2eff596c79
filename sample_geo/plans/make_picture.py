"""Write the invented garden as plans that are pictures: a scan, a GeoTIFF and a PDF page.

Run it from the top of the source tree: ``python sample_geo/plans/make_picture.py``. The scan lies
3° askew on the glass; with the garden's own turn its rows run 20° off east. It says nothing of
where it is: that is what ``garden_control.csv`` is for. The GeoTIFF is the same picture and does.
"""

from __future__ import annotations

import csv
import math
import random
import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pyproj
from PIL import Image, ImageDraw, ImageFont, TiffImagePlugin

sys.path.insert(0, str(Path(__file__).parents[1]))

from garden import ANCHOR, BED, CONTROL, HOUSE, PATH, POND, TREES, ZONES, Ring, turned

from lawnmap.geometry.frame import Frame
from lawnmap.geometry.grid import Grid, fitted

HERE = Path(__file__).parent
PIXEL_M = 0.055
WIDTH, HEIGHT = 660, 1040
MIDDLE = (6.5, 9.0)  # of the sheet, in the garden's metres
ASKEW_DEG = 3.0
FINER = 3  # pixels drawn to a pixel kept
SPECKS, SEED = 250, 20_270_303
UTM = "EPSG:32631"
PAPER, INK = (246, 243, 232), (52, 54, 60)
FILLS = {"lawn": (205, 222, 190), "bed": (226, 204, 180), "house": (205, 203, 200)}
MM_TO_M = 5.0  # of the PDF page: 1 to 200
PT_TO_MM = 72 / 25.4
PAGE_MM = (190.0, 290.0)
PAGE_DPI = 200  # at which lawnmap draws a page


def place() -> Grid:
    """Return the way from the scan's pixels to the garden's metres."""
    turn, (x, y) = math.radians(ASKEW_DEG), MIDDLE
    along, up = PIXEL_M * math.cos(turn), PIXEL_M * math.sin(turn)
    a, b, d, e = along, up, up, -along
    c, f = x - a * WIDTH / 2 - b * HEIGHT / 2, y - d * WIDTH / 2 - e * HEIGHT / 2
    return Grid(a, b, c, d, e, f)


def pixel(x: float, y: float) -> tuple[float, float]:
    """Return column and row of a place in the garden."""
    grid = place()
    steps = np.array([[grid.a, grid.b], [grid.d, grid.e]])
    column, row = np.linalg.solve(steps, [x - grid.c, y - grid.f]).tolist()
    return column, row


def page_pixel(x: float, y: float) -> tuple[float, float]:
    """Return column and row of a place in the garden on the PDF page as lawnmap draws it."""
    right, up = on_page(x, y)
    return right / 72 * PAGE_DPI, (PAGE_MM[1] * PT_TO_MM - up) / 72 * PAGE_DPI


def on_page(x: float, y: float) -> tuple[float, float]:
    """Return points from the page's lower left corner of a place in the garden."""
    right = PAGE_MM[0] / 2 + (x - MIDDLE[0]) * MM_TO_M
    up = PAGE_MM[1] / 2 + (y - MIDDLE[1]) * MM_TO_M
    return right * PT_TO_MM, up * PT_TO_MM


def lonlat(points: list[tuple[float, float]]) -> np.ndarray:
    """Return longitude and latitude of places in the garden."""
    return Frame(*ANCHOR).to_lonlat(np.array([turned(*point) for point in points]))


def shapes() -> list[tuple[str, str, Ring]]:
    """Return everything with an outline, in the order it is drawn: kind, name, ring."""
    return [
        *(("lawn", name, ring) for name, ring in ZONES.items()),
        ("bed", "Bed", BED),
        ("house", "House", HOUSE),
        ("house", "", PATH),
    ]


def sheet() -> Image.Image:
    """Return the plan, drawn fine and upright."""
    wide, high = WIDTH * FINER * 5 // 4, HEIGHT * FINER * 5 // 4
    image = Image.new("RGB", (wide, high), PAPER)
    draw = ImageDraw.Draw(image)
    font = ImageFont.load_default(18 * FINER)

    def at(x: float, y: float) -> tuple[float, float]:
        scale = FINER / PIXEL_M
        return wide / 2 + (x - MIDDLE[0]) * scale, high / 2 - (y - MIDDLE[1]) * scale

    for kind, name, ring in shapes():
        corners = [at(*point) for point in ring]
        draw.polygon(corners, fill=FILLS[kind])
        draw.line([*corners, *corners[:2]], fill=INK, width=2 * FINER)
        middle = np.mean(corners, axis=0).tolist()
        if name != "Back lawn":
            draw.text(middle, name.replace(" ", "\n"), fill=INK, font=font, anchor="mm")
    draw.text(at(6, 15.5), "Back lawn", fill=INK, font=font, anchor="mm")
    for x, y, size in [POND, *((x, y, stem) for x, y, _, stem in TREES)]:
        draw.circle(at(x, y), size * FINER / PIXEL_M, outline=INK, width=FINER)
    for name, point in CONTROL.items():
        column, row = at(*point)
        arm = 8 * FINER
        draw.line([(column - arm, row), (column + arm, row)], fill=INK, width=FINER)
        draw.line([(column, row - arm), (column, row + arm)], fill=INK, width=FINER)
        draw.text((column, row + arm), name, fill=INK, font=font, anchor="mt")
    draw.text(
        at(6.5, -17.5), "Plan of a garden (invented)  1 : 200", fill=INK, font=font, anchor="mm"
    )
    return image


def scan() -> Image.Image:
    """Return the plan as it came out of the scanner: askew, and with specks."""
    upright = sheet()
    grid, scale = place(), FINER / PIXEL_M
    to_sheet = Grid(
        scale,
        0,
        upright.width / 2 - MIDDLE[0] * scale,
        0,
        -scale,
        upright.height / 2 + MIDDLE[1] * scale,
    )
    finer = Grid(1 / FINER, 0, 0, 0, 1 / FINER, 0)
    askew = upright.transform(
        (WIDTH * FINER, HEIGHT * FINER),
        Image.Transform.AFFINE,
        tuple(to_sheet.after(grid.after(finer))),
        Image.Resampling.BICUBIC,
        fillcolor=PAPER,
    )
    image = askew.reduce(FINER)
    chance = random.Random(SEED)  # noqa: S311 - specks of dust
    for _ in range(SPECKS):
        shade = chance.randint(120, 220)
        image.putpixel((chance.randrange(WIDTH), chance.randrange(HEIGHT)), (shade,) * 3)
    return image.quantize(16, dither=Image.Dither.NONE)


def geotiff(image: Image.Image, path: Path) -> None:
    """Write a picture as GeoTIFF in UTM, its rows turned as they are (OGC 19-008r4)."""
    utm = pyproj.Transformer.from_crs("OGC:CRS84", UTM, always_xy=True)

    def to_utm(column_row: np.ndarray) -> np.ndarray:
        places = [tuple(point) for point in place().apply(column_row).tolist()]
        return np.column_stack(utm.transform(*lonlat(places).T))

    grid = fitted(to_utm, WIDTH, HEIGHT)
    tags = TiffImagePlugin.ImageFileDirectory_v2()
    matrix = [grid.a, grid.b, 0, grid.c, grid.d, grid.e, 0, grid.f, 0, 0, 0, 0, 0, 0, 0, 1]
    tags[34264] = tuple(float(each) for each in matrix)
    tags.tagtype[34264] = 12  # double
    # Version 1.1.0 and four keys: projected, pixel is area, EPSG 32631, metres.
    keys = [1, 1, 0, 4, 1024, 0, 1, 1, 1025, 0, 1, 1, 3072, 0, 1, 32631, 3076, 0, 1, 9001]
    tags[34735] = tuple(keys)
    tags.tagtype[34735] = 3  # short
    image.convert("L").save(path, compression="tiff_deflate", tiffinfo=tags)


def pdf() -> bytes:
    """Return the plan drawn on one page (ISO 32000-1), to 1 to 200 and not askew."""
    colours = {kind: " ".join(f"{each / 255:.3f}" for each in rgb) for kind, rgb in FILLS.items()}
    marks = ["0.7 w 0.2 0.2 0.24 RG"]
    for kind, name, ring in shapes():
        points = [f"{x:.3f} {y:.3f}" for x, y in (on_page(*each) for each in ring)]
        marks.append(f"{colours[kind]} rg {points[0]} m {' l '.join(points[1:])} l b")
        x, y = np.mean([on_page(*each) for each in ring], axis=0).tolist()
        marks.append(f"0 g BT /F1 8 Tf {x - 16:.1f} {y - 12:.1f} Td ({name}) Tj ET")
    for name, point in CONTROL.items():
        x, y = on_page(*point)
        marks.append(f"{x - 6:.3f} {y:.3f} m {x + 6:.3f} {y:.3f} l S")
        marks.append(f"{x:.3f} {y - 6:.3f} m {x:.3f} {y + 6:.3f} l S")
        marks.append(f"0 g BT /F1 7 Tf {x + 3:.1f} {y + 3:.1f} Td ({name}) Tj ET")
    stream = "\n".join(marks)
    wide, high = (side * PT_TO_MM for side in PAGE_MM)
    parts = [
        "<< /Type /Catalog /Pages 2 0 R >>",
        "<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        f"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 {wide:.4f} {high:.4f}] /Contents 4 0 R "
        "/Resources << /Font << /F1 5 0 R >> >> >>",
        f"<< /Length {len(stream)} >>\nstream\n{stream}\nendstream",
        "<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica >>",
    ]
    text, starts = "%PDF-1.4\n", []
    for number, part in enumerate(parts, 1):
        starts.append(len(text))
        text += f"{number} 0 obj\n{part}\nendobj\n"
    table = "".join(f"{start:010d} 00000 n \n" for start in starts)
    return (
        f"{text}xref\n0 {len(parts) + 1}\n0000000000 65535 f \n{table}"
        f"trailer << /Size {len(parts) + 1} /Root 1 0 R >>\nstartxref\n{len(text)}\n%%EOF\n"
    ).encode("ascii")


def control(name: str, to_pixel: Callable[[float, float], tuple[float, float]]) -> None:
    """Write where the four marks are in a picture, in whole pixels, and on the earth."""
    rows = []
    for (mark, point), (lon, lat) in zip(
        CONTROL.items(), lonlat(list(CONTROL.values())), strict=True
    ):
        column, row = to_pixel(*point)
        rows.append([mark, round(column), round(row), f"{lon:.9f}", f"{lat:.9f}"])
    _write(HERE / name, ["name", "column", "row", "lon", "lat"], rows)


def corners() -> None:
    """Write the zones' corners as somebody picked them in the scan, in whole pixels."""
    rows = [
        [name, place, *(round(each) for each in pixel(*point))]
        for name, ring in ZONES.items()
        for place, point in enumerate(ring, 1)
    ]
    _write(HERE / "corners.csv", ["name", "seq", "x", "y"], rows)


def _write(path: Path, header: list[str], rows: list[list[object]]) -> None:
    with path.open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream, lineterminator="\n").writerows([header, *rows])


def main() -> None:
    """Write every file."""
    image = scan()
    image.save(HERE / "garden.png", optimize=True)
    geotiff(image, HERE / "garden.tif")
    (HERE / "garden.pdf").write_bytes(pdf())
    control("garden_control.csv", pixel)
    control("garden_page_control.csv", page_pixel)
    corners()


if __name__ == "__main__":
    main()
