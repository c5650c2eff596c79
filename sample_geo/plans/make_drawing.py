"""Write the invented garden as a designer would hand it over: DXF 2010, in millimetres.

Run it from the top of the source tree: ``python sample_geo/plans/make_drawing.py``. The garden is
not turned: a drawing has no north. The bed is a hatch with its edge drawn besides, the house is
inserted as a block, the path is loose lines, and the survey's marks are on a layer that is frozen.
"""

from __future__ import annotations

import sys
from pathlib import Path

import ezdxf
from ezdxf.document import Drawing

sys.path.insert(0, str(Path(__file__).parents[1]))

from garden import BED, CONTROL, HOUSE, PATH, POND, TREES, ZONES, Ring

HERE = Path(__file__).parent
MM = 1000.0
TEXT_MM = 400.0
BACK_LAWN = (5.0, 15.5)  # where its name is written: its middle is in the bed
LAYERS = {"LAWN": 3, "BED": 30, "BUILDING": 8, "PATH": 9, "POND": 5, "TREE": 94, "TEXT": 7}


def mm(ring: Ring) -> Ring:
    """Return metres as millimetres."""
    return [(x * MM, y * MM) for x, y in ring]


def middle(ring: Ring) -> tuple[float, float]:
    """Return a place near the middle of a ring, to write its name at."""
    return sum(x for x, _ in ring) / len(ring), sum(y for _, y in ring) / len(ring)


def drawing() -> Drawing:
    """Return the whole drawing."""
    document = ezdxf.new("R2010", units=ezdxf.units.MM)
    for name, colour in LAYERS.items():
        document.layers.add(name, color=colour)
    document.layers.add("MARKS").freeze()
    model = document.modelspace()
    for ring in ZONES.values():
        model.add_lwpolyline(mm(ring), close=True, dxfattribs={"layer": "LAWN"})
    model.add_lwpolyline(mm(BED), close=True, dxfattribs={"layer": "BED"})
    model.add_hatch(dxfattribs={"layer": "BED"}).paths.add_polyline_path(mm(BED))
    house = document.blocks.new("HOUSE")
    house.add_lwpolyline(mm(HOUSE), close=True)
    model.add_blockref("HOUSE", (0, 0), dxfattribs={"layer": "BUILDING"})
    corners = mm(PATH)
    for start, end in zip(corners, corners[1:] + corners[:1], strict=True):
        model.add_line(start, end, dxfattribs={"layer": "PATH"})
    x, y, radius = POND
    model.add_circle((x * MM, y * MM), radius * MM, dxfattribs={"layer": "POND"})
    for x, y, _, _ in TREES:
        model.add_point((x * MM, y * MM), dxfattribs={"layer": "TREE"})
    for x, y in CONTROL.values():
        model.add_point((x * MM, y * MM), dxfattribs={"layer": "MARKS"})
    names = {name: middle(ring) for name, ring in ZONES.items()}
    names |= {"Bed": middle(BED), "House": middle(HOUSE), "Pond": POND[:2]}
    names["Back lawn"] = BACK_LAWN
    for name, (x, y) in names.items():
        model.add_text(
            name,
            height=TEXT_MM,
            dxfattribs={"layer": "TEXT", "insert": (x * MM, y * MM)},
        )
    return document


def main() -> None:
    """Write the drawing, the same to the byte each time."""
    ezdxf.options.write_fixed_meta_data_for_testing = True
    document = drawing()
    for name in ("ACDBPLACEHOLDER", "LAYOUT"):  # else they are added in no order
        document.classes.add_class(name)
    document.saveas(HERE / "garden.dxf")


if __name__ == "__main__":
    main()
