"""The DXF reader whole: the garden there and back, through the guarded child."""

import importlib.util
import sys
from pathlib import Path

import numpy as np
import pytest
from shapely.geometry import shape

from lawnmap.errors import ExtraNeeded, InputRefused, LayerNeeded
from lawnmap.files import child
from lawnmap.files.admit import Source, admit
from lawnmap.found import Layer
from lawnmap.geometry.ellipsoid import areas
from lawnmap.jobs.features import take
from lawnmap.jobs.read import empty_site
from lawnmap.jobs.reading import Reading
from lawnmap.readers.dxf import reader as dxf
from tests.readers.drawings import LAWN, new, source

SAMPLE = Path(__file__).parents[2] / "sample_geo"
PLAN = SAMPLE / "plans" / "garden.dxf"


@pytest.fixture(scope="module")
def garden():
    sys.path.insert(0, str(SAMPLE))
    try:
        import garden
    finally:
        sys.path.remove(str(SAMPLE))
    return garden


def test_the_garden_s_layers_are_listed_with_their_areas(garden):
    pond = np.pi * garden.POND[2] ** 2
    assert dxf.look(admit(PLAN)) == [
        Layer("LAWN", 3, ("Polygon",), pytest.approx(sum(map(garden.area, garden.ZONES.values())))),
        Layer("BED", 1, ("Polygon",), pytest.approx(garden.area(garden.BED))),
        Layer("BUILDING", 1, ("Polygon",), pytest.approx(garden.area(garden.HOUSE))),
        Layer("PATH", 1, ("Polygon",), pytest.approx(garden.area(garden.PATH))),
        Layer("POND", 1, ("Polygon",), pytest.approx(pond)),
        Layer("TREE", 2, ("Point",)),
    ]
    with pytest.raises(LayerNeeded, match=r'"LAWN" \(3, 571.5 m²\), "BED" \(1, 16.2'):
        dxf.read(admit(PLAN))


def test_the_garden_s_lawns_come_back_as_they_were_drawn(garden):
    found = dxf.read(admit(PLAN), layer="LAWN")
    assert (found.crs, found.local, found.unit_m) == (None, True, 0.001)
    assert found.warnings == ("Left out, on layers that are off or frozen: MARKS (4).",)
    for feature, (name, ring) in zip(found.features, garden.ZONES.items(), strict=True):
        assert feature.properties == {"name": name, "outline_source": "drawing"}
        assert feature.place.startswith("layer LAWN, entity ")
        corners = shape(feature.geometry).exterior.coords[:-1]
        assert corners == [(x * 1000, y * 1000) for x, y in ring]


def test_the_garden_s_areas_on_the_ground(garden):
    """A drawing has no noise: what is left is the local frame's, under 4e-8 (geometry/local)."""
    found = dxf.read(admit(PLAN), layer="LAWN")
    site = take(empty_site(), found, Reading()).site
    for (_, zone), (name, ring) in zip(site.zones.iterrows(), garden.ZONES.items(), strict=True):
        assert zone["name"] == name
        (size,) = areas(np.array([zone.geometry], dtype=object))
        assert size == pytest.approx(garden.area(ring), rel=1e-6)


def test_the_garden_s_other_layers(garden):
    bed = dxf.read(admit(PLAN), layer="BED")
    assert [each.properties["name"] for each in bed.features] == ["Bed"]
    assert bed.warnings[1].startswith("Drawn twice on layer BED")
    pond = dxf.read(admit(PLAN), layer="POND").features[0]
    assert pond.properties["name"] == "Pond"
    trees = dxf.read(admit(PLAN), layer="TREE").features
    places = [tuple(each.geometry["coordinates"]) for each in trees]
    assert places == [(x * 1000, y * 1000) for x, y, _, _ in garden.TREES]
    assert [each.properties for each in trees] == [{}, {}]


def test_the_sample_is_what_its_maker_makes(tmp_path, monkeypatch):
    pytest.importorskip("ezdxf")
    spec = importlib.util.spec_from_file_location("make_drawing", PLAN.parent / "make_drawing.py")
    maker = importlib.util.module_from_spec(spec)
    monkeypatch.syspath_prepend(SAMPLE)
    spec.loader.exec_module(maker)
    import ezdxf

    monkeypatch.setattr(ezdxf.options, "write_fixed_meta_data_for_testing", False)
    monkeypatch.setattr(maker, "HERE", tmp_path)
    maker.main()
    assert (tmp_path / "garden.dxf").read_bytes() == PLAN.read_bytes()


def test_units_complete_and_overrule():
    document, model = new(units=0)
    model.add_lwpolyline(LAWN, close=True)
    with pytest.raises(InputRefused, match=r"plan\.dxf: does not say in which unit"):
        dxf.read(source(document))
    assert dxf.read(source(document), units="ft").unit_m == 0.3048
    with pytest.raises(InputRefused, match="--units is 'furlong'"):
        dxf.read(source(document), units="furlong")
    document.header["$INSUNITS"] = 6
    found = dxf.read(source(document), units="yd")
    assert found.unit_m == 0.9144
    assert found.warnings == ("Taken as yd, as you said; the drawing says m.",)


def test_a_crs_that_was_asked_for_is_taken():
    document, model = new()
    model.add_lwpolyline([(x + 430_000, y + 433_000) for x, y in LAWN], close=True)
    found = dxf.read(source(document), crs="EPSG:27700")
    assert (found.crs, found.local, found.unit_m) == ("EPSG:27700", False, 1.0)


def test_a_layer_that_is_not_there_is_refused_with_those_that_are():
    with pytest.raises(InputRefused, match=r"no layer 'GRASS'.*\"LAWN\" \(3, "):
        dxf.read(admit(PLAN), layer="GRASS")


def test_without_ezdxf_it_says_what_to_install(monkeypatch):
    monkeypatch.setattr(dxf, "find_spec", lambda _: None)
    with pytest.raises(ExtraNeeded, match=r"pip install 'lawnmap\[cad\]'"):
        dxf.look(admit(PLAN))


def test_what_crashes_the_child_is_one_line(monkeypatch):
    def run(*_):
        raise RuntimeError("secret")

    monkeypatch.setattr(child, "run", run)
    with pytest.raises(InputRefused, match=r"^plan\.dxf: could not be read \(RuntimeError\)"):
        dxf.look(Source("plan.dxf", b"0\nSECTION\n", "dxf"))
