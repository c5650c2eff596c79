"""KMZ: an archive that is safe, with one KML file in it or several."""

import io
import time
import zipfile

import pytest

from lawnmap.errors import InputRefused, LayerNeeded
from lawnmap.files.admit import Source
from lawnmap.found import Layer
from lawnmap.readers import kmz

NAMESPACE = "http://www.opengis.net/kml/2.2"


def kml(name, folder=None):
    lawn = (
        f"<Placemark><name>{name}</name><Polygon><outerBoundaryIs><LinearRing><coordinates>"
        "-2,53 -1.999,53 -1.999,53.001 -2,53</coordinates></LinearRing></outerBoundaryIs>"
        "</Polygon></Placemark>"
    )
    inside = f"<Folder><name>{folder}</name>{lawn}</Folder>" if folder else lawn
    return f'<kml xmlns="{NAMESPACE}"><Document>{inside}</Document></kml>'


def source(**entries):
    memory = io.BytesIO()
    with zipfile.ZipFile(memory, "w", zipfile.ZIP_DEFLATED) as archive:
        for entry, content in entries.items():
            archive.writestr(entry, content)
    return Source("plan.kmz", memory.getvalue(), "kmz")


@pytest.mark.parametrize("entry", ["doc.kml", "Plan.KML", "plan/lawns.kml"])
def test_the_only_kml_file_is_the_plan(entry):
    plan = source(**{entry: kml("Back", "Lawns"), "files/a.png": b"x"})
    assert kmz.look(plan) == [Layer("Lawns", 1, ("Polygon",))]
    found = kmz.read(plan)
    assert found.features[0].properties == {"name": "Back"}
    assert found.crs == "OGC:CRS84"


def test_a_plan_without_folders_is_called_like_its_file():
    assert kmz.look(source(**{"plan/doc.kml": kml("Back")}))[0].name == "doc"


def test_several_files_give_their_names_to_the_layers():
    plan = source(**{"doc.kml": kml("Back", "Lawns"), "more/b.kml": kml("Oak", "Trees")})
    assert [layer.name for layer in kmz.look(plan)] == ["doc.kml/Lawns", "more/b.kml/Trees"]
    assert kmz.read(plan, layer="more/b.kml/Trees").features[0].properties["name"] == "Oak"
    with pytest.raises(LayerNeeded, match=r"doc\.kml/Lawns"):
        kmz.read(plan)


def test_twins_that_an_archiver_adds_are_no_plan():
    plan = source(**{"doc.kml": kml("Back"), "__MACOSX/._doc.kml": b"\0\5\x16\7"})
    assert len(kmz.read(plan).features) == 1


@pytest.mark.parametrize("filler", ["<a/>", "<a></a>", "<a b=''/>", "<!-- </</ --><a/>"])
def test_files_of_one_archive_share_the_limit_of_one_file(filler):
    """Each is small enough alone; a hundred such trees would fill 5 GB."""
    inside = kml("Back").replace("</Placemark>", filler * 30_000 + "</Placemark>")
    plan = source(**{f"{number}.kml": inside for number in range(40)})
    start = time.monotonic()
    with pytest.raises(InputRefused, match="elements or attributes in all"):
        kmz.look(plan)
    assert time.monotonic() - start < 5
    two = source(**{f"{number}.kml": inside for number in range(2)})
    assert len(kmz.look(two)) == 2


@pytest.mark.parametrize(
    ("entries", "told"),
    [
        ({"a.png": b"x"}, "holds no KML file"),
        ({"../doc.kml": "x"}, "leads out of the archive"),
        ({"doc.kml": bytes(20_000_000)}, "unpacks to more than 200 times"),
        ({"doc.kml": "<!DOCTYPE kml><kml/>"}, "plan.kmz: doc.kml, line 1: has a DOCTYPE"),
        ({"doc.kml": "<kml>"}, "plan.kmz: doc.kml, line 1, column 6: is not well-formed XML"),
        ({"doc.kml": "<gpx/>"}, "plan.kmz: doc.kml: has the root element <gpx>"),
        ({"a.kml": kml("a"), "b.kml": "{}"}, "plan.kmz: b.kml, line 1"),
    ],
)
def test_what_is_refused(entries, told):
    with pytest.raises(InputRefused, match=told) as caught:
        kmz.read(source(**entries))
    assert caught.value.file == "plan.kmz"
    assert caught.value.remedy


def test_another_crs_is_refused():
    with pytest.raises(InputRefused, match="--crs says"):
        kmz.read(source(**{"doc.kml": kml("Back")}), crs="EPSG:27700")
