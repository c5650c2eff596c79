"""PDF pages: how large they are, where things on them are drawn, and what is refused."""

import base64
import io

import numpy as np
import pytest
from PIL import Image

from lawnmap.errors import ExtraNeeded, InputRefused, LayerNeeded
from lawnmap.files import child
from lawnmap.found import Layer
from lawnmap.geometry import grid as grids
from lawnmap.readers.picture import pdf
from tests.readers.pictures import source

A4 = (595.276, 841.89)  # points


def page(*boxes, marks="0 0 0 rg 72 72 36 36 re f", extra=""):
    """Return a PDF with a page of each size, on each a black square an inch from the corner."""
    boxes = boxes or (A4,)
    kids = " ".join(f"{3 + place} 0 R" for place in range(len(boxes)))
    stream = 3 + len(boxes)
    parts = [
        "<< /Type /Catalog /Pages 2 0 R >>",
        f"<< /Type /Pages /Kids [{kids}] /Count {len(boxes)} >>",
        *(
            f"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 {w} {h}] /Contents {stream} 0 R {extra}>>"
            for w, h in boxes
        ),
        f"<< /Length {len(marks)} >>\nstream\n{marks}\nendstream",
    ]
    text, starts = "%PDF-1.4\n", []
    for number, part in enumerate(parts, 1):
        starts.append(len(text))
        text += f"{number} 0 obj\n{part}\nendobj\n"
    table = "".join(f"{start:010d} 00000 n \n" for start in starts)
    size = len(parts) + 1
    return (
        f"{text}xref\n0 {size}\n0000000000 65535 f \n{table}"
        f"trailer << /Size {size} /Root 1 0 R >>\nstartxref\n{len(text)}\n%%EOF\n"
    ).encode()


def drawn(data, size, number=1):
    """Return a page drawn in the child, at its own size."""
    columns, rows = (grids.meetings(side) for side in size)
    told = child.run(
        "lawnmap.readers.picture.warp:warped",
        {"plan.pdf": data},
        {
            "file": "plan.pdf",
            "kind": "pdf",
            "page": number,
            "columns": columns,
            "rows": rows,
            "mesh": np.stack(np.meshgrid(columns, rows), axis=-1).tolist(),
        },
    )
    return Image.open(io.BytesIO(base64.b64decode(told["webp"]))).convert("RGB")


def test_one_page_is_a_picture_at_200_dots_an_inch():
    given = source(page(), "plan.pdf")
    assert pdf.look(given) == [Layer("page 1", 1, ("Picture",))]
    found = pdf.read(given)
    made = found.picture
    assert (made.kind, made.page, made.grid, made.name) == ("pdf", 1, None, "plan")
    assert (made.width, made.height) == (1654, 2339)  # ISO 216: 210 by 297 mm
    assert found.crs is None
    assert "can export DXF, that is better" in found.warnings[0]


def test_what_is_drawn_is_where_the_page_says():
    shown = drawn(page(), (1654, 2339))
    dark = np.argwhere(np.asarray(shown.convert("L")) < 128)
    (top, left), (bottom, right) = dark.min(axis=0), dark.max(axis=0) + 1
    # 72 to 108 points from the left and from below: 200 to 300 pixels.
    assert (left, right) == pytest.approx((200, 300), abs=1)
    assert (2339 - bottom, 2339 - top) == pytest.approx((200, 300), abs=1.5)


def test_a_turned_page_is_turned():
    given = source(page(extra="/Rotate 90 "), "plan.pdf")
    made = pdf.read(given).picture
    assert (made.width, made.height) == (2339, 1654)
    dark = np.argwhere(np.asarray(drawn(given.data, (2339, 1654)).convert("L")) < 128)
    assert dark.min(axis=0) == pytest.approx((200, 200), abs=1.5)  # lower left came to upper left


def test_of_several_pages_one_is_chosen():
    given = source(page(A4, (100, 200), A4), "the plan.pdf")
    assert [each.name for each in pdf.look(given)] == ["page 1", "page 2", "page 3"]
    with pytest.raises(LayerNeeded, match='"page 2"'):
        pdf.read(given)
    made = pdf.read(given, layer="page 2").picture
    assert (made.page, made.width, made.height) == (2, 278, 556)
    assert made.name == "the plan page 2"


def locked():
    from pypdf import PdfReader, PdfWriter

    writer = PdfWriter(clone_from=PdfReader(io.BytesIO(page())))
    writer.encrypt("open sesame", algorithm="RC4-128")
    stream = io.BytesIO()
    writer.write(stream)
    return stream.getvalue()


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (page(*[A4] * 10_000), "has 10,000 pages"),
        (page((14_400_000, 14_400_000)), "pixels at the size it is drawn"),
        (page((14_400, 14_400)), "page 1: is 40,000 by 40,000 pixels"),
        (b"%PDF-1.7\n", "cannot be read as PDF"),
        (b"%PDF-1.7\n" + b"1 0 obj << /Kids [1 0 R] >> " * 1000, "cannot be read as PDF"),
    ],
)
def test_hostile_files_are_refused(data, said):
    with pytest.raises(InputRefused) as caught:
        pdf.read(source(data, "plan.pdf"))
    assert said in str(caught.value)


def test_a_locked_file_is_refused():
    with pytest.raises(InputRefused, match="is locked with a password"):
        pdf.read(source(locked(), "plan.pdf"))


def test_a_page_that_never_ends_is_stopped():
    loop = "q /X Do Q " * 10
    data = page(marks=loop, extra="/Resources << /XObject << /X 4 0 R >> >> ")
    shown = drawn(data, (1654, 2339))  # a form that draws itself is left out
    assert np.asarray(shown).min() > 200


def test_scripts_and_links_in_it_do_nothing():
    script = '/AA << /O << /S /JavaScript /JS (app.alert("x")) >> >> '
    assert pdf.read(source(page(extra=script), "plan.pdf")).picture.width == 1654


@pytest.mark.parametrize("missing", ["pypdfium2", "PIL"])
def test_without_its_packages_it_says_what_to_install(monkeypatch, missing):
    monkeypatch.setattr(pdf, "find_spec", lambda name: None if name == missing else True)
    with pytest.raises(ExtraNeeded, match=r"pip install 'lawnmap\[pdf\]'"):
        pdf.look(source(page(), "plan.pdf"))
