"""Drawings for tests, made by ezdxf or written out, and read by what the child runs."""

import io

import ezdxf
from shapely.geometry import shape

from lawnmap.files.admit import Source
from lawnmap.readers.dxf import told as dxf_told

LAWN = [(0, 0), (41.2, 0), (41.2, 28), (0, 28)]


def new(units=6, version="R2010"):
    """Return a new drawing and its model space."""
    document = ezdxf.new(version)
    if version != "R12":
        document.header["$INSUNITS"] = units
    return document, document.modelspace()


def text(document):
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue()


def source(document):
    return Source("plan.dxf", text(document).encode(), "dxf")


def told(data, tmp_path, layer=None, said_m=None):
    """Return what the child would hand over of a drawing, its text or its bytes."""
    if not isinstance(data, str | bytes):
        data = text(data)
    file = tmp_path / "plan.dxf"
    file.write_bytes(data.encode() if isinstance(data, str) else data)
    return dxf_told.features(str(file), layer, said_m)


def shapes(answer):
    return [shape(geometry) for geometry, _, _ in answer["features"]]


def areas(answer):
    return [each.area for each in shapes(answer)]


def names(answer):
    return [properties.get("name") for _, properties, _ in answer["features"]]


def simple(entities, units=6):
    """Return a small DXF text with a header and the entities given as code and value pairs."""
    head = ["0", "SECTION", "2", "HEADER", "9", "$ACADVER", "1", "AC1015"]
    head += ["9", "$INSUNITS", "70", str(units), "0", "ENDSEC"]
    body = ["0", "SECTION", "2", "ENTITIES", *map(str, entities), "0", "ENDSEC", "0", "EOF"]
    return "\n".join([*head, *body]) + "\n"
