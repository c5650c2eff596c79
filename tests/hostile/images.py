"""Pictures and pages that mean harm, with world files and control points; bad and good."""

import zlib

from tests.hostile.bait import PRIVATE
from tests.hostile.case import Case, accepted
from tests.hostile.texts import VRT
from tests.readers import good_files as good
from tests.readers.pictures import chunk, geotiff, plan, png, saved, tiff

METRES = ("--crs", "EPSG:27700")
CONTROL = ("--control", "in/control.csv")
AFFINE = ("--fit", "affine")
SERVICE = b'<GDAL_WMS><Service name="TMS"><ServerUrl>@URL@</ServerUrl></Service></GDAL_WMS>'
RASTER_VRT = (
    b'<VRTDataset rasterXSize="9" rasterYSize="9"><VRTRasterBand dataType="Byte" band="1" '
    b'subClass="VRTRawRasterBand"><SourceFilename>@SECRET@</SourceFilename></VRTRasterBand>'
    b"</VRTDataset>"
)
PICTURES = {
    "wide.png": lambda: png(30_000, 30_000),
    "no end.png": lambda: png(2**31 - 1, 2**31 - 1),
    "text bomb.png": lambda: png(
        60, 40, chunk(b"zTXt", b"a\0\0" + zlib.compress(b"0" * 100_000_000))
    ),
    "head.png": b"\x89PNG",
    "cut.png": lambda: saved(plan(), "png")[:-30],
    "drawing.png": b'<svg xmlns="http://www.w3.org/2000/svg"/>',
    "page.png": b"<!DOCTYPE html><html><script>alert(1)</script></html>",
    "moving.png": lambda: saved(plan(), "gif"),
    "jpeg.png": lambda: saved(plan(), "jpeg"),
    "zeros.jpg": b"\xff\xd8\xff" + b"\0" * 50,
    "cut.jpg": lambda: saved(plan(), "jpeg")[:-300],
    "script.jpg": b"\xff\xd8\xff<?php system('mkdir @TRAP@') ?>",
    "wide.tif": lambda: tiff(200_000, 200_000),
    "junk.tif": b"II*\0\xff\xff\xff\xff",
    "loop.tif": b"II*\0\x08\0\0\0\1\0" + b"\0\1\4\0\1\0\0\0\x09\0\0\0" + b"\x08\0\0\0",
    "vrt.tif": RASTER_VRT,
    "service.tif": SERVICE,
    "layer vrt.tif": VRT,
    "nan tags.tif": lambda: geotiff({34264: (float("nan"), *good.MATRIX[1:])}, {3072: 27_700}),
    "flat tags.tif": lambda: geotiff({34264: (0.0,) * 16}, {3072: 27_700}),
    "no such place.tif": lambda: geotiff({34264: good.MATRIX}, {1024: 1, 3072: 29_999}),
}
WORLDS = {
    "zero": b"0\n0\n0\n0\n430000\n282000\n",
    "three lines": b"0.5\n0\n0\n",
    "nan": b"0.5\n0\n0\n-0.5\nNaN\n282000\n",
    "dependent": b"1\n2\n1\n2\n430000\n282000\n",
    "huge": b"0.5\n0\n0\n-0.5\n1e300\n282000\n",
    "comma": b"0,5\n0\n0\n-0,5\n430000\n282000\n",
    "markup": b"<html>",
    "nuls": b"\0\0\0",
}
HEAD = b"name,column,row,lon,lat\n"
# Four corners of a sheet of 60 by 40 pixels.
ROWS = (
    b"a,0,0,1.9,53.4\n",
    b"b,60,0,1.9002,53.4\n",
    b"c,60,40,1.9002,53.39992\n",
    b"d,0,40,1.9,53.39992\n",
)
GOOD_CONTROL = HEAD + b"".join(ROWS)
CONTROLS = {
    "on a line": HEAD
    + b"".join(b"%d,%d,0,%.4f,53.4\n" % (n, n * 20, 1.9 + n / 1e3) for n in range(4)),
    "one place": HEAD + b"a,0,0,1.9,53.4\nb,0,0,1.9002,53.4\n",
    "one point": HEAD + ROWS[0],
    "nan": GOOD_CONTROL.replace(b"1.9002,53.4\n", b"nan,53.4\n", 1),
    "comma": b"name;column;row;lon;lat\na;0;0;1,9;53,4\nb;60;0;1,9002;53,4\n",
    "columns of commas": HEAD + b"a,430000,5,433000,5,1,9\n",
    "far": GOOD_CONTROL.replace(b"1.9002,53.4\n", b"1.9002,93.4\n", 1),
    "swapped": GOOD_CONTROL.replace(b"1.9,53.4\n", b"53.4,1.9\n", 1),
    "nothing": HEAD,
    "no columns": b"a,b\n1,2\n",
    "a picture": b"\x89PNG\r\n\x1a\n",
    "address": b"@URL@",
    "quote": HEAD + b'"a,0,0,1.9,53.4\n',
    "same name": HEAD + ROWS[0] + b"a,60,0,1.9002,53.4\n",
    "formula": HEAD + b"=1+1,=2,0,1.9,53.4\n",
}
PAGE = b"".join(good.pdf().values())
PAGES = {
    "head.pdf": b"%PDF-1.7\n",
    "loop.pdf": b"%PDF-1.7\n" + b"1 0 obj << /Kids [1 0 R] >> " * 1000,
    "large.pdf": PAGE.replace(b"[0 0 90 90]", b"[0 0 14400 14400]"),
    "page.pdf": b"<!DOCTYPE html><html></html>",
}


def sheet(name, data, control=GOOD_CONTROL):
    """Return a picture with a sheet of control points beside it."""
    return {name: data, "control.csv": control}


def cases():
    """Return the runs of this kind: refused and accepted."""
    picture = saved(plan(), "png")
    place = ("place", "site", "--sheet")
    return [
        *(
            Case(name, sheet(name, data), words=CONTROL)
            for name, data in PICTURES.items()
            if not name.endswith(".tif")
        ),
        *(Case(name, {name: data}) for name, data in PICTURES.items() if name.endswith(".tif")),
        *(
            Case(
                f"world {name}",
                {"plan.png": picture, "plan.pgw": data},
                words=METRES,
                file="plan.pgw",
            )
            for name, data in WORLDS.items()
        ),
        *(
            Case(
                f"control {name}",
                sheet("plan.png", picture, data),
                words=(*CONTROL, *(AFFINE if name == "on a line" else ())),
                file="control.csv",
            )
            for name, data in CONTROLS.items()
        ),
        *(
            Case(
                f"sheet {name}",
                {"control.csv": CONTROLS[name].replace(b"column,row", b"x,y")},
                words=(*place, "in/control.csv"),
                site="unplaced",
            )
            for name in CONTROLS
            if name not in {"on a line", "far"}
        ),
        *(
            Case(name, sheet(name, data, good.PAGE_CONTROL), words=CONTROL)
            for name, data in PAGES.items()
        ),
        Case("no world", {"plan.png": picture}),
        accepted("good.png", sheet("good.png", picture), *CONTROL),
        accepted("world.jpg", dict(good.jpeg()), *METRES),
        accepted("geo.tif", dict(good.tiff())),
        accepted("page.pdf, good", {**good.pdf(), "control.csv": good.PAGE_CONTROL}, *CONTROL),
        accepted(
            "script.pdf",
            {
                "script.pdf": PAGE.replace(
                    b"/Type /Catalog", b"/Type /Catalog /OpenAction << /S /URI /URI (@URL@) >>"
                ),
                "control.csv": good.PAGE_CONTROL,
            },
            *CONTROL,
        ),
        accepted(
            "private.jpg",
            sheet("private.jpg", saved(plan(), "jpeg", exif=exif(), comment=PRIVATE.encode())),
            *CONTROL,
        ),
        accepted(
            "sheet good",
            {"control.csv": good.sample("plans/control.csv")["control.csv"]},
            "place",
            "site",
            "--sheet",
            "in/control.csv",
            site="unplaced",
        ),
    ]


def exif():
    """Return what a camera writes of who and where."""
    made = plan().getexif()
    made[315] = PRIVATE
    made[34853] = {1: "N", 2: (53.0, 4.0, 0.0), 3: "W", 4: (2.0, 0.0, 0.0)}
    return made.tobytes()
