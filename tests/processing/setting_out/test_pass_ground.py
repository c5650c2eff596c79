"""The ground that blades go over is ground, however nearly edges meet."""

import geopandas as gpd
import pytest
import shapely

from lawnmap.processing.setting_out.pass_ground import ground

# Outlines of a garden whose path was drawn along the zone's own edge: the difference of these two
# is a polygon and two lines of a few centimetres, and no bout could be laid on it.
LAWN = (
    "POLYGON ((1.9 53.39999999999999, 1.9 53.400179704549195, "
    "1.9002367343578772 53.40017970425115, 1.9002255134436723 53.40013927081316, "
    "1.900246561365094 53.40013927077156, 1.900257782303985 53.400179704224655, "
    "1.900300684876601 53.40017970417064, 1.9003006836097778 53.399999999621436, "
    "1.9000330751970864 53.399999999958354, 1.9000330751970864 53.39999999996669, "
    "1.9002405468878294 53.39999999975772, 1.90024054739456 53.400089852033005, "
    "1.9002405476479112 53.400134778170134, 1.90016537656021 53.40014825613897, "
    "1.900075171163735 53.400148256229826, 1.9000000000000057 53.400134778412415, "
    "1.9000000000000057 53.40008985227528, 1.9000000000000057 53.4, "
    "1.9000062275824279 53.399999999993724, 1.9000050372801445 53.399999999993646, "
    "1.9 53.39999999999999))"
)
STRIP = (
    "POLYGON ((1.90024054741001 53.40009259171727, 1.9002405510360063 53.4000925476032, "
    "1.9002405474095123 53.40009250348715, 1.90024054741001 53.40009259171727))"
)


def test_what_is_left_over_of_edges_is_no_ground(lawn):
    whole = shapely.from_wkt(LAWN)
    of = {"zone_id": ["a"], "kind": ["blades"]}
    layers = {
        "lawn": gpd.GeoDataFrame(geometry=[whole], index=["a"]),
        "treatable": gpd.GeoDataFrame({**of, "area_m2": [136.0]}, geometry=[whole]),
        "kept_clear": gpd.GeoDataFrame(
            {**of, "because": ["paving"]}, geometry=[shapely.from_wkt(STRIP)]
        ),
    }
    found = ground("a", "blades", layers, lawn.features(), lawn.choices())
    assert found.area.geom_type in {"Polygon", "MultiPolygon"}
    assert found.area.area == pytest.approx(whole.area, rel=1e-6)
