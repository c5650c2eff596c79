"""GPX by its schemas of 2002 (1.0) and 2004 (1.1): tracks, routes and waypoints."""

import pytest

from lawnmap.errors import InputRefused, LayerNeeded
from lawnmap.files.admit import Source
from lawnmap.found import Layer
from lawnmap.readers import gpx

GPX = "http://www.topografix.com/GPX"


def text(*inside, namespace=f"{GPX}/1/1", version="1.1", root="gpx"):
    space = f' xmlns="{namespace}"' if namespace else ""
    return f'<{root}{space} version="{version}" creator="demo">\n{"".join(inside)}</{root}>'


def point(lat, lon, tag="trkpt", more=""):
    return f'<{tag} lat="{lat}" lon="{lon}">{more}</{tag}>\n'


def segment(*points):
    return f"<trkseg>{''.join(point(*each) for each in points)}</trkseg>"


def track(*segments, name="Front lawn"):
    named = f"<name>{name}</name>" if name else ""
    return f"<trk>{named}{''.join(segments)}</trk>"


WALK = [(53, -2), (53.001, -2), ("53.001", "-1.999")]
LINE = [[-2.0, 53.0], [-2.0, 53.001], [-1.999, 53.001]]


def source(*inside, **options):
    return Source("walk.gpx", text(*inside, **options).encode(), "gpx")


def read(*inside, layer=None, crs=None, **options):
    return gpx.read(source(*inside, **options), layer=layer, crs=crs)


def assert_refused(*inside, told=None, **options):
    with pytest.raises(InputRefused, match=told) as caught:
        read(*inside, **options)
    assert caught.value.file == "walk.gpx"
    assert caught.value.remedy
    return caught.value


@pytest.mark.parametrize(
    ("namespace", "version"), [(f"{GPX}/1/1", "1.1"), (f"{GPX}/1/0", "1.0"), ("", "1.1")]
)
def test_versions(namespace, version):
    found = read(track(segment(*WALK)), namespace=namespace, version=version)
    (lawn,) = found.features
    assert lawn.geometry == {"type": "LineString", "coordinates": LINE}
    assert lawn.properties == {"name": "Front lawn", "outline_source": "gps"}
    assert lawn.place == "track Front lawn"
    assert (found.crs, found.warnings) == ("OGC:CRS84", ())


@pytest.mark.parametrize("options", [{"namespace": f"{GPX}/2/0"}, {"root": "gps"}])
def test_what_is_not_gpx(options):
    assert_refused(track(segment(*WALK)), told="which is not GPX 1", **options)


def test_texts_and_what_receivers_add():
    more = "<ele>82.5</ele><time>2027-03-01T09:00:00Z</time><extensions><x>1</x></extensions>"
    inside = (
        "<metadata><name>Demo</name></metadata><trk><name> Front </name><cmt>wet</cmt>"
        f"<desc>walked twice</desc><src>receiver</src><trkseg>{point(53, -2, more=more)}"
        f"{point(53.001, -2)}</trkseg></trk>"
    )
    found = read(inside)
    assert found.features[0].properties == {
        "name": "Front",
        "cmt": "wet",
        "desc": "walked twice",
        "outline_source": "gps",
    }
    assert found.warnings == ()  # a receiver always writes heights


def test_layers():
    route = "<rte><name>Hedge</name>" + point(53, -2, "rtept") + point(54, -2, "rtept") + "</rte>"
    inside = (
        point(53, -2, "wpt", "<name>Tap</name>"),
        point(54, -2, "wpt"),
        route,
        track(segment(*WALK)),
        track(segment(*WALK), segment(*WALK)),
        track(segment(*WALK), name=""),
        track(),
        track(segment()),
    )
    assert gpx.look(source(*inside)) == [
        Layer("track Front lawn", 1, ("LineString",)),
        Layer("track Front lawn (2)", 1, ("MultiLineString",)),
        Layer("track 3", 1, ("LineString",)),
        Layer("route Hedge", 1, ("LineString",)),
        Layer("waypoints", 2, ("Point",)),
    ]
    with pytest.raises(LayerNeeded, match=r"holds 5 layers.*\"waypoints\" \(2\)"):
        read(*inside)
    taps = read(*inside, layer="waypoints").features
    assert [each.geometry["coordinates"] for each in taps] == [[-2.0, 53.0], [-2.0, 54.0]]
    assert [each.properties for each in taps] == [{"name": "Tap"}, {}]
    assert [each.place for each in taps] == ['waypoint 1 "Tap"', "waypoint 2"]
    (hedge,) = read(*inside, layer="route Hedge").features
    assert hedge.geometry == {"type": "LineString", "coordinates": [[-2.0, 53.0], [-2.0, 54.0]]}
    assert len(read(*inside, layer="track Front lawn (2)").features) == 1
    assert_refused(*inside, told="no layer 'track 4'", layer="track 4")


def test_a_break_is_never_joined():
    # GPX 1.1 schema, trksegType: a new segment where reception was lost.
    other = [(53.002, -2), (53.003, -2)]
    found = read(track(segment(*WALK), segment((53, -2)), segment(), segment(*other)))
    assert found.features[0].geometry == {
        "type": "MultiLineString",
        "coordinates": [LINE, [[-2.0, 53.002], [-2.0, 53.003]]],
    }
    assert found.warnings == (
        "track Front lawn was broken off: it is in 2 segments.",
        "Left out, a segment of a single point: track Front lawn, segment 2.",
    )


@pytest.mark.parametrize(
    ("lat", "lon", "told"),
    [
        ("nan", -2, "latitude: 'nan' is not a number"),
        ("inf", -2, "latitude: 'inf' is not a number"),
        (53, "1e999", "longitude: '1e999' is not a finite number"),
        ("53,1", -2, "latitude: '53,1' has a decimal comma"),
        ("", -2, "latitude: '' is not a number"),
        (152, -2, "latitude 152 is out of range"),
        (53, 398, "longitude 398 is out of range"),
        (433000, 430000, "longitude 430000 is out of range"),
    ],
)
def test_bad_positions(lat, lon, told):
    error = assert_refused(track(segment(*WALK), segment((53, -2), (lat, lon))), told=told)
    assert error.place.startswith("track Front lawn, segment 2, point 2")


def test_the_line_is_told():
    inside = f"<trk><name>A</name><trkseg>{point(53, -2)}<trkpt lat='1'/></trkseg></trk>"
    error = assert_refused(inside, told="has no longitude")
    assert error.place == "track A, segment 1, point 2 (line 3)"
    error = assert_refused(point("x", -2, "wpt", "<name>Tap</name>"))
    assert error.place == 'waypoint 1 "Tap" (line 2)'


def test_tracks_of_one_name_are_numbered():
    names = ["F", "F (2)", "F", "F", "F (2)"]
    plan = source(*(track(segment(*WALK), name=name) for name in names))
    assert [layer.name for layer in gpx.look(plan)] == [
        "track F", "track F (2)", "track F (3)", "track F (4)", "track F (2) (2)",
    ]  # fmt: skip


def test_nothing_in_it():
    assert gpx.look(source("<metadata/>")) == []
    assert_refused("<metadata/>", told="holds no features")
    assert_refused(track(segment((53, -2))), told="no feature in it has a geometry")


def test_another_crs_is_refused():
    assert read(track(segment(*WALK)), crs="OGC:CRS84").crs == "OGC:CRS84"
    assert_refused(track(segment(*WALK)), told="--crs says", crs="EPSG:27700")


@pytest.mark.slow
def test_limits():
    assert_refused(track(segment(*[(1, 1)] * 200_001)), told="more than 200,000 vertices")
    assert_refused(track(segment((1, 1))) * 10_001, told="more than 10,000 tracks")
