"""Pictures with world files, GeoTIFFs, grids of heights and PDF pages that are nearly right."""

from __future__ import annotations

import datetime as dt
import warnings

import numpy as np
from fpdf import FPDF
from hypothesis import strategies as st
from PIL import Image

from tests.readers import good_files as good
from tests.readers.pictures import geotiff, plan, saved
from tests.readers.structures import near

MODES = {
    "png": ["RGB", "RGB", "P", "L", "1", "RGBA", "LA"],
    "jpeg": ["RGB", "RGB", "L", "CMYK"],
    "tiff": ["RGB", "RGB", "P", "1", "CMYK", "L", "YCbCr", "LAB"],
}
WORLD = [["0.5"], ["0.1"], ["0.1"], ["-0.5"], ["430000"], ["282000"]]
SUFFIXES = {"png": "pgw", "jpeg": "jgw", "tiff": "tfw"}
NAMES = {"png": "plan.png", "jpeg": "plan.jpg", "tiff": "plan.tif"}
MATRIX = [0.5, 0.1, 0, 430_000, 0.1, -0.5, 0, 282_000, 0, 0, 0, 0, 0, 0, 0, 1]
ODD = [0.0, -0.5, 1e300, 1e9, 1e-12, float("nan"), float("inf")]
KEYS = [{1024: 1, 3072: 27_700}] * 4 + [
    {1024: 2, 2048: 4326},
    {1024: 1, 3072: 32_767},
    {},
    {1025: 2, 3072: 9},
]


@st.composite
def _world(draw):
    rows = near.nudged_table(draw, WORLD)
    end = draw(st.sampled_from(["\n", "\n", "\r\n", ""]))
    return ("\n".join(" ".join(row) for row in rows) + end).encode()


@st.composite
def pictures(draw):
    kind = draw(st.sampled_from(["png", "jpeg", "tiff", "tiff"]))
    size = draw(st.sampled_from([(60, 40)] * 4 + [(2, 2), (3, 200), (300, 2)]))
    if kind == "tiff" and draw(st.sampled_from([False, True])):
        return draw(_geotiff(size))
    image = plan(draw(st.sampled_from(MODES[kind])), size)
    options = {}
    held = draw(st.sampled_from([0, 0, 0, 3, 6, 9]))
    if held and kind != "tiff":
        exif = Image.Exif()
        exif[274] = held
        options["exif"] = exif
    files = {NAMES[kind]: saved(image, kind, **options)}
    if draw(st.sampled_from([True, True, True, False])):
        files[f"plan.{SUFFIXES[kind]}"] = draw(_world())
    return files


@st.composite
def _geotiff(draw, size):
    matrix = list(MATRIX)
    if draw(st.integers(0, 2)) == 0:
        matrix[draw(st.integers(0, 7))] = draw(st.sampled_from(ODD))
    tags = draw(
        st.sampled_from(
            [
                {34264: matrix},
                {34264: matrix[:9]},
                {33550: (0.5, 0.5, 0), 33922: (0, 0, 0, 430_000, 282_000, 0)},
                {33922: (0, 0, 0, 430_000, 282_000, 0, 1, 1, 0, 430_001, 282_001, 0)},
                {33550: (0.5,), 33922: (0, 0, 0, 430_000, 282_000, 0)},
            ]
        )
    )
    image = draw(st.sampled_from([plan("RGB", size), plan("L", size), _heights(draw, size)]))
    more = {42113: draw(st.sampled_from(["-9999", "nan", "x", ""]))}
    more |= {274: draw(st.sampled_from([1, 1, 6, 2]))}
    return {"plan.tif": geotiff(tags, draw(st.sampled_from(KEYS)), image, more=more)}


def _heights(draw, size):
    across, down = size
    cells = np.linspace(80, 81, across * down, dtype="float32").reshape(down, across)
    cells[0, 0] = draw(st.sampled_from([-9999, 80, np.nan, np.inf, 1e30]))
    return Image.fromarray(cells)


PAGES = [(90, 90)] * 5 + [(595, 842), (1, 1), (0.001, 50), (14_400, 14_400)]


@st.composite
def pdf(draw):
    """Draw a document of a page or a few, with a sheet of control points beside it."""
    made = FPDF(unit="pt")
    made.set_creation_date(dt.datetime(2027, 3, 1, tzinfo=dt.UTC))
    for _ in range(draw(st.sampled_from([1, 1, 1, 2]))):
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            made.add_page(format=draw(st.sampled_from(PAGES)))
        made.rect(20, 20, 36, 36, style="F")
    if draw(st.integers(0, 9)) == 0:
        made.set_encryption("o", draw(st.sampled_from(["", "u"])))
    rows = [line.split(",") for line in good.PAGE_CONTROL.decode().splitlines()]
    sheet = near.table(near.nudged_table(draw, rows)).encode()
    return {"plan.pdf": bytes(made.output()), "control.csv": sheet}
