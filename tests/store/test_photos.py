"""Photos are kept once, by what they hold, and nothing but pixels is taken or given."""

import hashlib
import io

import pytest
from PIL import Image

from lawnmap.errors import InputRefused, WriteFailed
from lawnmap.store import photos
from tests.store.sites import made


@pytest.fixture
def folder(tmp_path):
    return made(tmp_path / "garden")[0]


def webp(**saved):
    stream = io.BytesIO()
    Image.new("RGB", (8, 8), "green").save(stream, "WEBP", **saved)
    return stream.getvalue()


def test_a_photo_is_kept_once_under_its_digest(folder):
    name = photos.keep(folder, webp())
    assert name == f"photos/{hashlib.sha256(webp()).hexdigest()}.webp"
    assert photos.keep(folder, webp()) == name
    assert [each.name for each in folder.photos.iterdir()] == [name.removeprefix("photos/")]
    assert photos.read(folder, name) == webp()


def test_a_picture_with_more_than_pixels_is_refused(folder):
    exif = Image.Exif()
    exif[0x010E] = "where it was taken"
    for data in (webp(exif=exif), webp(xmp=b"<x/>"), b"", b"RIFF", webp() + b"more"):
        with pytest.raises(InputRefused, match="plain WebP"):
            photos.keep(folder, data)
    assert not folder.photos.exists()


@pytest.mark.parametrize(
    "name", ["", "site.geojson", "../x", "photos/../site.geojson", f"photos/{'A' * 64}.webp"]
)
def test_other_names_are_refused(folder, name):
    with pytest.raises(InputRefused, match="not the name"):
        photos.read(folder, name)


def test_a_link_out_of_the_folder_is_not_followed(folder, tmp_path):
    (tmp_path / "other.webp").write_bytes(webp())
    folder.photos.mkdir()
    name = f"photos/{'0' * 64}.webp"
    (folder.path / name).symlink_to(tmp_path / "other.webp")
    with pytest.raises(InputRefused, match="not the name"):
        photos.read(folder, name)


def test_what_was_put_in_its_place_is_not_given(folder):
    name = photos.keep(folder, webp())
    (folder.path / name).write_bytes(b"<svg onload=alert(1)>")
    with pytest.raises(InputRefused, match="plain WebP"):
        photos.read(folder, name)


def test_a_folder_that_cannot_be_made_is_told(folder):
    folder.photos.write_text("in the way")
    with pytest.raises(WriteFailed):
        photos.keep(folder, webp())
