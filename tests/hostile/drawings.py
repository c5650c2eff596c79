"""Drawings that mean harm: DXF files, most of them made by ezdxf."""

from tests.hostile.case import Case, accepted
from tests.hostile.texts import PIPELINE, VRT
from tests.readers.drawings import LAWN, new, simple, text
from tests.readers.good_files import SAMPLE

ZONES = ("--crs", "local", "--as", "zone")


def bomb(depth=8):
    """Return a drawing whose blocks hold each other ten times, and so on."""
    document, model = new()
    inner = ""
    for level in range(depth):
        block = document.blocks.new(f"B{level}")
        for copy in range(10):
            if inner:
                block.add_blockref(inner, (copy, 0))
            else:
                block.add_line((0, copy), (1, copy))
        inner = f"B{level}"
    model.add_blockref(inner, (0, 0))
    return document


def grid(*, empty):
    """Return a drawing that inserts a block 30,000 by 30,000 times."""
    document, model = new()
    block = document.blocks.new("TUFT")
    if not empty:
        block.add_point((0, 0))
    many = {"row_count": 30_000, "column_count": 30_000, "row_spacing": 1, "column_spacing": 1}
    model.add_blockref("TUFT", (0, 0), dxfattribs=many)
    return document


def ring(length):
    """Return a drawing whose blocks insert each other in a ring."""
    document, model = new()
    for level in range(length):
        block = document.blocks.new(f"B{level}")
        block.add_blockref(f"B{(level + 1) % length}", (0, 0))
    model.add_blockref("B0", (0, 0))
    return document


def tower(height):
    """Return a drawing whose blocks stand in each other so deep."""
    document, model = new()
    document.blocks.new("B0").add_lwpolyline(LAWN, close=True)
    for level in range(1, height):
        document.blocks.new(f"B{level}").add_blockref(f"B{level - 1}", (0, 0))
    model.add_blockref(f"B{height - 1}", (0, 0))
    return document


def drawn(*corners, layer="LAWN", units=6, close=True, form="xy"):
    """Return the text of a drawing with one polyline."""
    document, model = new(units=units)
    model.add_lwpolyline(corners or LAWN, form, close=close, dxfattribs={"layer": layer})
    return text(document)


def changed(number):
    """Return the text of a drawing with a number of our own in a polyline."""
    return drawn((0, 0), (77.125, 0), (9, 9)).replace("77.125", number)


def image():
    """Return a drawing that names other files: a picture and another drawing."""
    document, model = new()
    picture = document.add_image_def("@URL@", (10, 10))
    model.add_image(picture, (0, 0), (1, 1))
    document.add_xref_def("@SECRET@", "OTHER")
    model.add_blockref("OTHER", (0, 0))
    return text(document)


def vertices(count):
    head = ["0", "LWPOLYLINE", "8", "0", "100", "AcDbEntity", "100", "AcDbPolyline"]
    corners = [each for n in range(count) for each in (10, n % 500, 20, n // 500)]
    return simple([*head, 90, count, 70, 0, *corners])


REFUSED = {
    "bomb.dxf": (lambda: text(bomb()), ZONES),
    "grid.dxf": (lambda: text(grid(empty=False)), ZONES),
    "self.dxf": (lambda: text(ring(1)), ZONES),
    "each other.dxf": (lambda: text(ring(2)), ZONES),
    "tower.dxf": (lambda: text(tower(400)), ZONES),
    "nan.dxf": (lambda: changed("nan"), ZONES),
    "infinity.dxf": (lambda: changed("inf"), ZONES),
    "bulge.dxf": (lambda: drawn((0, 0, 1e308), (20, 0, 0), (20, 10, 0), form="xyb"), ZONES),
    "vertices.dxf": (lambda: vertices(200_001), ZONES),
    "large field.dxf": (lambda: drawn((0, 0), (2000, 0), (2000, 1000), (0, 1000)), ZONES),
    "no units.dxf": (lambda: drawn(units=0), ZONES),
    "open.dxf": (lambda: drawn((0, 0), (20, 0), close=False), ZONES),
    "other files.dxf": (image, ZONES),
    "head.dxf": ("0\nSECTION\n", ZONES),
    "cut.dxf": (lambda: drawn()[:9000], ZONES),
    "binary.dxf": ("AutoCAD Binary DXF\r\n\x1a\0\0", ZONES),
    "plan.dwg": ("AC1032" + "\0" * 200, ZONES),
    "vrt.dxf": (VRT.decode(), ZONES),
    "pipeline.dxf": (PIPELINE.decode(), ZONES),
    "numbers.dxf": (lambda: "\n".join(["0", "SECTION"] * 90_000), ZONES),
}


def bytes_of(made):
    """Return what makes the bytes of a drawing given as text, or as what makes the text."""

    def data():
        return (made() if callable(made) else made).encode()

    return data


def cases():
    """Return the runs of this kind: refused and accepted."""
    refused = [
        Case(name, {name: bytes_of(made)}, words=words) for name, (made, words) in REFUSED.items()
    ]
    names = bytes_of(lambda: drawn().replace("LAWN", "{{ 7*7 }} ${x}"))
    return [
        *refused,
        accepted("closed.dxf", {"closed.dxf": bytes_of(drawn)}, *ZONES),
        accepted("eight deep.dxf", {"eight deep.dxf": bytes_of(lambda: text(tower(8)))}, *ZONES),
        accepted("markup layer.dxf", {"markup layer.dxf": names}, *ZONES),
        accepted(
            "sample dxf",
            {"garden.dxf": (SAMPLE / "plans/garden.dxf").read_bytes()},
            "--layer",
            "LAWN=zone",
        ),
    ]
