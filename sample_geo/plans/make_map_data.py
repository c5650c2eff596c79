"""Write the invented garden as map data: OpenStreetMap XML and FlatGeobuf.

Run it from the top of the source tree: ``python sample_geo/plans/make_map_data.py``. The numbers of
the things are negative, as an editor gives them to what was never sent to the server: none of it is
in OpenStreetMap.
"""

from __future__ import annotations

import sys
from pathlib import Path
from xml.sax.saxutils import quoteattr

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import pyogrio
import shapely

sys.path.insert(0, str(Path(__file__).parents[1]))

from garden import ANCHOR, BED, HOUSE, PATH, POND, TREES, ZONES, Ring, turned

from lawnmap.geometry.frame import Frame

HERE = Path(__file__).parent
DECIMALS = 7  # of a degree, which is all that OpenStreetMap keeps
EDGES = 32  # of the polygon that is drawn for the pond


def lonlat(points: Ring) -> npt.NDArray[np.float64]:
    """Return longitude and latitude of places in the garden [°]."""
    return Frame(*ANCHOR).to_lonlat(np.array([turned(*point) for point in points]))


def pond() -> Ring:
    """Return the pond's edge as somebody would click it."""
    x, y, radius = POND
    turns = np.arange(EDGES) * 2 * np.pi / EDGES
    return [(x + radius * float(np.cos(t)), y + radius * float(np.sin(t))) for t in turns]


class Drawing:
    """An OpenStreetMap file in the making: every thing gets the next free number."""

    def __init__(self) -> None:
        self.nodes: list[str] = []
        self.things: list[str] = []
        self.last = 0

    def number(self) -> int:
        """Return a number that nothing has yet."""
        self.last -= 1
        return self.last

    def node(self, lon: float, lat: float, **tags: str) -> int:
        """Add a node."""
        number = self.number()
        self.nodes.append(
            f'  <node id="{number}" lat="{lat:.{DECIMALS}f}" lon="{lon:.{DECIMALS}f}">'
            f"{_tags(tags)}</node>"
        )
        return number

    def way(self, nodes: list[int], **tags: str) -> int:
        """Add a way through nodes."""
        number = self.number()
        refs = "".join(f'<nd ref="{node}"/>' for node in nodes)
        self.things.append(f'  <way id="{number}">{refs}{_tags(tags)}</way>')
        return number

    def ring(self, ring: Ring, **tags: str) -> int:
        """Add a closed way."""
        nodes = [self.node(*point) for point in lonlat(ring)]
        return self.way([*nodes, nodes[0]], **tags)

    def area(self, ways: list[tuple[int, str]], **tags: str) -> None:
        """Add a multipolygon of ways with their roles."""
        members = "".join(f'<member type="way" ref="{way}" role="{role}"/>' for way, role in ways)
        self.things.append(
            f'  <relation id="{self.number()}">{members}'
            f"{_tags({'type': 'multipolygon', **tags})}</relation>"
        )

    def text(self) -> str:
        """Return the file, the ways before their nodes."""
        lines = [
            '<?xml version="1.0" encoding="UTF-8"?>',
            '<osm version="0.6" generator="lawnmap sample_geo">',
            *self.things,
            *self.nodes,
            "</osm>\n",
        ]
        return "\n".join(lines)


def _tags(tags: dict[str, str]) -> str:
    return "".join(f"<tag k={quoteattr(key)} v={quoteattr(tags[key])}/>" for key in tags)


def osm() -> str:
    """Return the garden as OpenStreetMap XML; the back lawn is a relation with a hole."""
    drawing = Drawing()
    for name in ("Front lawn", "Side strip"):
        drawing.ring(ZONES[name], landuse="grass", name=name)
    back = [drawing.node(*point) for point in lonlat(ZONES["Back lawn"])]
    halves = [drawing.way(back[:4]), drawing.way([*back[3:], back[0]])]
    bed = drawing.ring(BED, landuse="flowerbed", name="Bed")
    drawing.area(
        [*((way, "outer") for way in halves), (bed, "inner")], landuse="grass", name="Back lawn"
    )
    drawing.ring(HOUSE, building="house", height="6.5", name="House")
    drawing.ring(PATH, highway="footway", area="yes", surface="paving_stones", name="Path")
    drawing.ring(pond(), natural="water", water="pond", name="Pond")
    for (x, y, height, _), leaf in zip(TREES, ("deciduous", "evergreen"), strict=True):
        place = lonlat([(x, y)])[0]
        drawing.node(*place, natural="tree", height=f"{height:g} m", leaf_cycle=leaf)
    fence = [drawing.node(*place) for place in lonlat([(-6.0, 12.0), (-7.0, 30.0)])]
    drawing.way(fence, barrier="fence", height="1.8")
    lane = [drawing.node(*place) for place in lonlat([(-20.0, -18.0), (30.0, -18.0)])]
    drawing.way(lane, highway="residential", name="Lane")
    return drawing.text()


def features() -> gpd.GeoDataFrame:
    """Return the garden as one table, in UTM zone 31 north."""
    shapes = {
        "zone": [(name, ring, {"outline_source": "drawing"}) for name, ring in ZONES.items()],
        "bed": [("Bed", BED, {})],
        "building": [("House", HOUSE, {"height_m": 6.5})],
        "paving": [("Path", PATH, {})],
        "water": [("Pond", pond(), {"water_kind": "pond"})],
    }
    rows = [
        {"feature": kind, "name": name, **facts, "geometry": shapely.Polygon(lonlat(ring))}
        for kind, several in shapes.items()
        for name, ring, facts in several
    ]
    rows += [
        {"feature": "tree", "height_m": height, "stem_m": stem, "geometry": shapely.Point(*place)}
        for x, y, height, stem in TREES
        for place in lonlat([(x, y)])
    ]
    return gpd.GeoDataFrame(rows, geometry="geometry", crs="OGC:CRS84").to_crs("EPSG:32631")


def main() -> None:
    """Write both files."""
    (HERE / "garden.osm").write_text(osm(), encoding="utf-8")
    pyogrio.write_dataframe(features(), HERE / "garden.fgb", driver="FlatGeobuf", layer="garden")


if __name__ == "__main__":
    main()
