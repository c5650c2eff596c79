"""The survey that a plan is set beside, and the photos of both."""

import datetime as dt
import io

import pytest
from PIL import Image, PngImagePlugin

from lawnmap.errors import InputRefused
from lawnmap.jobs import earlier, photos
from lawnmap.jobs.photos import LONGEST_SIDE
from lawnmap.jobs.survey import again, survey
from lawnmap.readers.picture.photo import Small, photo
from lawnmap.store import photos as photo_store
from lawnmap.store import site as site_store
from tests.processing.surveying.test_compare import frames, zone
from tests.store.sites import made

SPRING, AUTUMN = dt.date(2027, 3, 1), dt.date(2027, 10, 1)
PRIVATE = b"PRIV-who took it and where"


def picture(colour, side=1500):
    """Return a photo as a phone makes it: on its side, with words and a place in it."""
    exif = Image.Exif()
    exif[0x0112] = 6  # orientation: to be turned a quarter (TIFF 6.0, tag 274)
    exif[0x010E] = PRIVATE.decode()  # what it shows, in words
    exif.get_ifd(0x8825)[1] = "N"  # GPS
    stream = io.BytesIO()
    Image.new("RGB", (side, side // 2), colour).save(stream, "JPEG", exif=exif, comment=PRIVATE)
    return stream.getvalue()


@pytest.fixture(scope="module")
def season(tmp_path_factory):
    """Return a garden surveyed in spring and counted again in autumn, one zone cut since."""
    path = tmp_path_factory.mktemp("season") / "garden"
    folder, _ = made(path, zone("a"), zone("b", 30, moss_rating=4), *frames(60))
    names = [photo_store.keep(folder, photo(picture(each))) for each in ("green", "brown")]

    def saved(change):
        site = site_store.load(folder)
        return site_store.save(folder, site.with_features(change(site.document["features"]))).site

    def shown(features, those):
        return [
            {**e, "properties": {**e["properties"], "photos": those}}
            if e["properties"].get("zone_id") == "a"
            else e
            for e in features
        ]

    saved(lambda features: shown(features, names[:1]))
    survey(path, day=SPRING)
    again(path, day=AUTUMN)
    west = zone("b-west", 30, came_from="b", moss_rating=2)
    site = saved(
        lambda features: [
            *shown([e for e in features if e["properties"].get("zone_id") != "b"], names),
            west,
            *frames(30, x=8),
        ]
    )
    return folder, site, names


def test_the_last_survey_is_the_one_that_nobody_named(season):
    folder, site, names = season
    found, warnings = earlier.before(folder, site)
    assert warnings == ()
    assert (found.name, found.earlier.day) == ("2027-03-01", "2027-03-01")
    assert list(found.earlier.zones.index) == ["a", "b"]
    assert found.photos == {"a": ((names[0],), (names[1],))}
    judged = found.earlier.changes.set_index(["zone_id", "measure"])
    assert judged.loc[("a", "moss cover"), "verdict"] == "better"
    assert not judged.loc[("a", "moss cover"), "recut"]
    # A zone that was cut is said to be: what became of it, and what it came from.
    assert judged.loc[("b", "moss cover"), "kin"] == "b-west"
    assert judged.loc[("b-west", "moss cover"), "kin"] == "b"


def test_a_site_without_a_survey_has_only_its_photos(tmp_path):
    folder, site = made(tmp_path / "garden", zone("a", moss_rating=2))
    found, warnings = earlier.before(folder, site)
    assert (found.earlier, found.photos, warnings) == (None, {}, ())
    with pytest.raises(InputRefused, match="no closed survey"):
        earlier.before(folder, site, "2027-03-01")
    with pytest.raises(InputRefused, match="no zone has a photo"):
        photos.shown(folder, found)


def test_a_damaged_survey_is_told_and_the_map_is_made_without_it(tmp_path):
    folder, site = made(tmp_path / "garden", zone("a"), *frames(60))
    survey(folder.path, day=SPRING)
    (folder.surveys / "2027-03-01.geojson").write_bytes(b"{")
    found, (told,) = earlier.before(folder, site)
    assert found.earlier is None
    assert "no view of before and after" in told


def test_photos_are_drawn_anew_upright_small_and_without_a_word(season):
    folder, site, _ = season
    found, _ = earlier.before(folder, site)
    shown, warnings = photos.shown(folder, found)
    assert warnings == ()
    assert [(each.zone_id, each.earlier) for each in shown] == [("a", True), ("a", False)]
    assert shown[0].day == "2027-03-01"
    for each in shown:
        image = Image.open(io.BytesIO(each.image))
        assert image.format == "WEBP"
        assert each.size == image.size == (LONGEST_SIDE // 2, LONGEST_SIDE)  # turned upright
        assert not image.getexif()
        for mark in (b"Exif", b"EXIF", b"GPS", b"PRIV", b"XMP", b"ICCP"):
            assert mark not in each.image


def test_a_folder_of_somebody_else_cannot_slip_in_another_file(season, tmp_path):
    folder, site = made(tmp_path / "garden", zone("a", photos=["../../secret.webp", "x"]))
    found, _ = earlier.before(folder, site)
    assert found.photos == {}
    name = season[2][0]
    (folder.path / "photos").mkdir()
    text = PngImagePlugin.PngInfo()
    text.add_text("Comment", "PRIV")
    stream = io.BytesIO()
    Image.new("RGB", (4, 4)).save(stream, "PNG", pnginfo=text)
    (folder.path / name).write_bytes(stream.getvalue())
    before = earlier.Before(None, {"a": ((), (name,))})
    shown, (told,) = photos.shown(folder, before)
    assert shown == ()
    assert "left out" in told


def test_a_page_is_filled_with_a_pair_of_every_zone_first(season, monkeypatch):
    folder, _, names = season
    monkeypatch.setattr(photos, "MOST", 2)
    monkeypatch.setattr(photos, "small", lambda data, _: Small(data, (1, 1)))
    before = earlier.Before(None, {"a": ((), tuple(names)), "b": ((), tuple(names))})
    shown, (told,) = photos.shown(folder, before)
    assert [each.zone_id for each in shown] == ["a", "b"]
    assert told.startswith("2 photos are left out")
