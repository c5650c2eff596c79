"""KML against the rules of its abstract test suite (ATC numbers: OGC 07-134r2)."""

import pytest

from lawnmap.errors import InputRefused, LayerNeeded
from lawnmap.files.admit import Source
from lawnmap.found import Layer
from lawnmap.readers import kml

NAMESPACE = "http://www.opengis.net/kml/2.2"
GX = "http://www.google.com/kml/ext/2.2"
RING = "-2,53 -1.999,53 -1.999,53.001 -2,53"
SQUARE = [[[-2.0, 53.0], [-1.999, 53.0], [-1.999, 53.001], [-2.0, 53.0]]]


def text(inside, namespace=NAMESPACE, root="kml"):
    spaces = f' xmlns="{namespace}"' if namespace else ""
    return f'<?xml version="1.0"?>\n<{root}{spaces} xmlns:gx="{GX}">{inside}</{root}>'


def document(*inside, name="Plan"):
    return f"<Document><name>{name}</name>{''.join(inside)}</Document>"


def folder(name, *inside):
    return f"<Folder><name>{name}</name>{''.join(inside)}</Folder>"


def placemark(geometry="", more="", name="Back lawn"):
    return f"<Placemark><name>{name}</name>{more}{geometry}</Placemark>"


def ring(coordinates=RING, edge="outerBoundaryIs"):
    inner = f"<LinearRing><coordinates>{coordinates}</coordinates></LinearRing>"
    return f"<{edge}>{inner}</{edge}>"


def polygon(*edges):
    return f"<Polygon>{''.join(edges or [ring()])}</Polygon>"


def line(coordinates=RING, tag="LineString"):
    return f"<{tag}><coordinates>{coordinates}</coordinates></{tag}>"


def source(inside, **options):
    return Source("garden.kml", text(inside, **options).encode(), "kml")


def read(inside, layer=None, crs=None, **options):
    return kml.read(source(inside, **options), layer=layer, crs=crs)


def assert_refused(inside, told=None, layer=None, crs=None, **options):
    with pytest.raises(InputRefused, match=told) as caught:
        read(inside, layer, crs, **options)
    assert caught.value.file == "garden.kml"
    assert caught.value.remedy
    return caught.value


@pytest.mark.parametrize(
    "namespace",
    [
        "",
        NAMESPACE,
        "http://www.opengis.net/kml/2.3",  # OGC 12-007r2
        "http://earth.google.com/kml/2.1",
        "http://earth.google.com/kml/2.2",
    ],
)
def test_versions(namespace):
    found = read(document(placemark(polygon())), namespace=namespace)
    (lawn,) = found.features
    assert lawn.geometry == {"type": "Polygon", "coordinates": SQUARE}
    assert lawn.properties == {"name": "Back lawn"}
    assert lawn.place == 'placemark 1 "Back lawn"'
    assert (found.crs, found.warnings) == ("OGC:CRS84", ())


def test_a_prefix_is_as_good_as_none():
    inside = text(document(placemark(polygon()))).replace("<kml xmlns=", "<kml xmlns:k=")
    prefixed = inside.replace("<", "<k:").replace("<k:/", "</k:").replace("<k:?", "<?").encode()
    assert len(kml.read(Source("a.kml", prefixed, "kml")).features) == 1


@pytest.mark.parametrize(
    "options",
    [{"namespace": "http://example.com/kml"}, {"root": "klm"}],
)
def test_what_is_not_kml(options):
    assert_refused(document(placemark(polygon())), "which is not KML 2", **options)


def test_folders_are_layers_by_their_path():
    inside = document(
        placemark(polygon(), name="loose"),
        folder(
            "Plan",
            folder("Lawns", placemark(polygon()), placemark(polygon(), name="Front")),
            folder("Trees", placemark("<Point><coordinates>-2,53</coordinates></Point>")),
            folder("Notes", placemark(name="no outline")),
        ),
        "<Folder>" + placemark(line()) + "</Folder>",
        folder("Plan", folder("Lawns", placemark(polygon(), name="Side"))),
        name="Garden",
    )
    assert kml.look(source(inside)) == [
        Layer("Garden", 1, ("Polygon",)),
        Layer("Plan/Lawns", 3, ("Polygon",)),
        Layer("Plan/Trees", 1, ("Point",)),
        Layer("folder 1", 1, ("LineString",)),
    ]
    names = [each.properties["name"] for each in read(inside, "Plan/Lawns").features]
    assert names == ["Back lawn", "Front", "Side"]
    with pytest.raises(LayerNeeded, match=r"holds 4 layers.*\"Plan/Lawns\" \(3\)"):
        read(inside)
    assert_refused(inside, "no layer 'Lawns'", layer="Lawns")


@pytest.mark.parametrize(
    ("inside", "name"),
    [
        (placemark(polygon()), "garden"),
        ("<Document>" + placemark(polygon()) + "</Document>", "garden"),
        (document(placemark(polygon()), name=" Our\n plan "), "Our  plan"),
        (folder("Lawns", placemark(polygon())), "Lawns"),
        (document(document(placemark(polygon()), name="Inner")), "Inner"),
    ],
)
def test_names_of_single_layers(inside, name):
    assert [layer.name for layer in kml.look(source(inside))] == [name]
    assert len(read(inside).features) == 1


def test_inner_rings():
    # ATC 17: one outer ring, any number of inner ones; no orientation is asked for.
    hole = "-1.9995,53.0001 -1.9995,53.0002 -1.9994,53.0002 -1.9995,53.0001"
    inside = polygon(ring(), ring(hole, "innerBoundaryIs"), ring(hole, "innerBoundaryIs"))
    (lawn,) = read(placemark(inside)).features
    assert lawn.geometry["coordinates"][0] == SQUARE[0]
    assert len(lawn.geometry["coordinates"]) == 3
    assert lawn.geometry["coordinates"][2][0] == [-1.9995, 53.0001]


def test_multi_geometries():
    # ATC 66; they may hold others of their kind.
    same = f"<MultiGeometry>{polygon()}<MultiGeometry>{polygon()}</MultiGeometry></MultiGeometry>"
    (lawn,) = read(placemark(same)).features
    assert lawn.geometry == {"type": "MultiPolygon", "coordinates": [SQUARE, SQUARE]}
    point = "<Point><coordinates>-2,53</coordinates></Point>"
    mixed = read(placemark(f"<MultiGeometry>{point}{polygon()}</MultiGeometry>"))
    assert [each.geometry["type"] for each in mixed.features] == ["Point", "Polygon"]
    assert mixed.warnings == ('Made into one feature a kind of geometry: placemark 1 "Back lawn".',)


def test_lines_rings_and_points():
    inside = folder(
        "a",
        placemark(line("-2,53\n\t-1,53")),
        placemark(line(tag="LinearRing")),
        placemark("<Point><coordinates> -2,53,0 </coordinates></Point>"),
    )
    found = read(inside)
    assert [each.geometry for each in found.features] == [
        {"type": "LineString", "coordinates": [[-2.0, 53.0], [-1.0, 53.0]]},
        {"type": "LineString", "coordinates": SQUARE[0]},
        {"type": "Point", "coordinates": [-2.0, 53.0]},
    ]
    assert found.warnings == ()


def test_heights_are_left_out_and_told():
    found = read(placemark(polygon(ring("-2,53,5 -1.999,53,5 -1.999,53.001,5 -2,53,6"))))
    assert found.features[0].geometry["coordinates"] == SQUARE
    assert found.warnings[0].startswith("Heights in the file are not used")


SCHEMA = """<Schema id="s" name="Lawns"><SimpleField name="moss_rating" type="int"/>
<SimpleField name="thatch_mm" type="double"/><SimpleField name="wet" type="bool"/>
<SimpleField name="note" type="string"/></Schema>"""


def simple(**values):
    cells = "".join(f'<SimpleData name="{k}">{v}</SimpleData>' for k, v in values.items())
    return f'<ExtendedData><SchemaData schemaUrl="#s">{cells}</SchemaData></ExtendedData>'


def test_values_are_typed_by_the_schema():
    # ATC 25 to 28.
    values = simple(moss_rating=3, thatch_mm=" 7.5\n", wet="true", note="7", unknown="8")
    found = read(document(SCHEMA, placemark(polygon(), values)))
    assert found.features[0].properties == {
        "name": "Back lawn",
        "moss_rating": 3,
        "thatch_mm": 7.5,
        "wet": True,
        "note": "7",
        "unknown": "8",
    }
    empty = read(document(SCHEMA, placemark(polygon(), simple(moss_rating="", note=""))))
    assert empty.features[0].properties == {"name": "Back lawn", "moss_rating": None, "note": None}


def test_a_value_that_is_not_of_its_type():
    inside = document(SCHEMA, placemark(polygon(), simple(thatch_mm="7,5")))
    error = assert_refused(inside, "'7,5' has a decimal comma: write a point")
    assert error.place.startswith('placemark 1 "Back lawn", line ')


@pytest.mark.parametrize("value", ["3.5", "1e300", "9007199254740994"])
def test_an_int_is_whole_and_comes_back_unchanged(value):
    inside = document(SCHEMA, placemark(polygon(), simple(moss_rating=value)))
    assert_refused(inside, "is not a whole number")


def test_a_value_without_a_name_is_left_out_and_told():
    # OGC 07-147r2, 9.2: the name attribute of Data is required.
    found = read(placemark(polygon(), "<ExtendedData><Data><value>1</value></Data></ExtendedData>"))
    assert found.features[0].properties == {"name": "Back lawn"}
    assert found.warnings == ('Left out, a value without a name: placemark 1 "Back lawn".',)


def test_untyped_values_and_descriptions_are_text():
    more = (
        "<description><![CDATA[<b>Moss</b> & shade]]></description><ExtendedData>"
        '<Data name="zone_id"><displayName>Id</displayName><value>B1</value></Data>'
        '<Data name="name"><value>other</value></Data></ExtendedData>'
    )
    found = read(placemark(polygon(), more))
    assert found.features[0].properties == {
        "name": "Back lawn",
        "description": "<b>Moss</b> & shade",
        "zone_id": "B1",
    }
    assert found.warnings == (
        'The placemark\'s own name was kept, not that of its data: placemark 1 "Back lawn".',
    )


def test_a_value_that_stands_twice():
    data = '<Data name="a"><value>1</value></Data>'
    assert_refused(
        placemark(polygon(), f"<ExtendedData>{data * 2}</ExtendedData>"), "'a' stands twice"
    )


@pytest.mark.parametrize(
    ("geometry", "told"),
    [
        # ATC 3: longitude,latitude[,height] with commas inside and blanks between.
        (polygon(ring("-2,594,51,4545 -2,593,51,4545")), "is not longitude,latitude"),
        (polygon(ring("-2 53 -1 53")), "'-2' is not longitude,latitude"),
        (line("-2,53, -1,53"), "'' is not a number"),
        (line("-2,nan -1,53"), "'nan' is not a number"),
        (line("-2,1e400 -1,53"), "not a finite number"),
        (line("-2;53 -1;53"), "is not longitude,latitude"),
        (line("-2,53,x -1,53"), "'x' is not a number"),
        # ATC 14 to 17.
        ("<Point><coordinates>-2,53 -1,53</coordinates></Point>", "more than one position"),
        (line("-2,53"), "has 1 of the 2 points"),
        (polygon(ring("-2,53 -1,53 -2,53")), "ring 1: has 3 of the 4 points"),
        (polygon(ring("-2,53 -1,53 -1,54 -2.1,53")), "the ring does not end where it begins"),
        (line("-2,53 -1,53 -1,54 -2.1,53", "LinearRing"), "does not end where it begins"),
        (polygon(ring(edge="innerBoundaryIs")), "has 0 outer rings instead of one"),
        (polygon(ring(), ring()), "has 2 outer rings instead of one"),
        (polygon(ring(), ring("", "innerBoundaryIs")), "ring 2: has 0 of the 4 points"),
        (line("-2,53 -1,152"), "point 2: latitude 152 is out of range"),
        (line("430000,433000 430020,433000"), "point 1: longitude 430000 is out of range"),
    ],
)
def test_bad_coordinates(geometry, told):
    error = assert_refused(folder("a", placemark(line(), name="Front"), placemark(geometry)), told)
    assert error.place.startswith('placemark 2 "Back lawn"')


def test_the_line_of_a_bad_number():
    error = assert_refused(placemark(line("-2,53\n-1,53\n-1,5x")), "'5x' is not a number")
    assert error.place == 'placemark 1 "Back lawn", line 4'
    assert "KML is in degrees only" in assert_refused(placemark(line("430000,4 1,1"))).remedy


def test_what_is_no_outline_is_left_out_and_told():
    link = "<NetworkLink><Link><href>http://192.0.2.1/</href></Link></NetworkLink>"
    overlay = "<GroundOverlay><Icon><href>a.png</href></Icon></GroundOverlay>"
    track = "<gx:Track><gx:coord>-2 53 0</gx:coord></gx:Track>"
    model = "<Model><Link><href>house.dae</href></Link></Model>"
    inside = folder(
        "a", link, overlay, placemark(polygon()), placemark(track), placemark(model), "<gx:Tour/>"
    )
    found = read(inside)
    assert len(found.features) == 1
    assert found.warnings == (
        "Parts of the file that are no outlines were left out: 1 GroundOverlay, 1 Model, "
        "1 NetworkLink, 1 Tour, 1 Track.",
        'Left out, without a geometry: placemark 2 "Back lawn", placemark 3 "Back lawn".',
    )
    error = assert_refused(document(link, link), "holds no outlines, only 2 NetworkLink")
    assert "Links are not followed" in error.remedy
    assert_refused(placemark(track), "only 1 Track")


def test_what_is_no_outline_is_told_within_a_multi_geometry():
    # OGC 07-147r2, 10.2: a Model is a geometry too, and may stand in a MultiGeometry.
    inner = f"<MultiGeometry>{polygon()}<MultiGeometry><Model/></MultiGeometry></MultiGeometry>"
    found = read(placemark(inner))
    assert [each.geometry["type"] for each in found.features] == ["Polygon"]
    assert found.warnings == ("Parts of the file that are no outlines were left out: 1 Model.",)


def test_nothing_in_it():
    assert kml.look(source(document(placemark()))) == []
    assert_refused(document(placemark()), "holds no features")
    assert_refused("", "holds no features")
    assert_refused(placemark(polygon(ring(""))), "no feature in it has a geometry")
    assert_refused(placemark("<Polygon/>"), "0 outer rings")
    assert_refused(placemark("<LineString/>"), "no feature in it has a geometry")


def test_empty_ones_are_left_out_and_named():
    found = read(folder("a", placemark(line("")), placemark(polygon())))
    assert found.warnings == ('Left out, without a geometry: placemark 1 "Back lawn".',)


def test_another_crs_is_refused():
    assert read(placemark(polygon()), crs="EPSG:4326").crs == "OGC:CRS84"
    assert_refused(placemark(polygon()), "--crs says 'EPSG:27700'", crs="EPSG:27700")


def test_folders_as_deep_as_allowed():
    deep = "<Folder>" * 61 + placemark(polygon()) + "</Folder>" * 61
    assert_refused(deep, "more than 64 deep")
    shallow = "<Folder>" * 40 + placemark(polygon()) + "</Folder>" * 40
    assert len(read(shallow).features) == 1


@pytest.mark.slow
def test_vertices_are_limited():
    assert_refused(placemark(line("1,1 " * 200_001)), "more than 200,000 vertices")
    long = line("1,1 " * 150_000)
    assert_refused(folder("a", placemark(long), placemark(long)), "more than 200,000 vertices")
