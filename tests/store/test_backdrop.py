"""Stored plan pictures: what is written is read back; what is damaged or foreign is left out."""

import io
import json

import pytest
from PIL import Image

from lawnmap.errors import InputRefused
from lawnmap.store import backdrop
from lawnmap.store.backdrop import Backdrop
from lawnmap.store.folder import Folder

FACTS = {
    "bounds": [1.8996, 53.3997, 1.9004, 53.4003],
    "width": 60,
    "height": 40,
    "source": "png",
    "source_width": 600,
    "source_height": 400,
    "crs": None,
    "pixel_map": {
        "grid": [0.05, 0.0, -10.0, 0.0, -0.05, 10.0],
        "frame": [1.9, 53.4],
        "fit_sigma_m": 0.02,
    },
    "control": [
        {
            "name": "gatepost",
            "column_row": [526.0, 258.0],
            "lonlat": [1.9003, 53.3999],
            "residual_m": [0.01, -0.02],
        }
    ],
    "rmse_m": 0.02,
}


def webp(**options):
    stream = io.BytesIO()
    Image.new("RGBA", (60, 40), (200, 220, 190, 90)).save(stream, "WEBP", **options)
    return stream.getvalue()


def kept(tmp_path, data=None, name="garden", **changes):
    """Write a backdrop into a folder as it stands, good or not."""
    home = tmp_path / "backdrop"
    home.mkdir(exist_ok=True)
    facts = {"format": 1, "name": name, **FACTS, **changes}
    (home / f"{name}.json").write_text(json.dumps(facts))
    (home / f"{name}.webp").write_bytes(webp() if data is None else data)
    return Folder(tmp_path)


def test_what_is_written_is_read_back(tmp_path):
    made = Backdrop("garden", FACTS, webp())
    files = made.files()
    assert sorted(files) == ["backdrop/garden.json", "backdrop/garden.webp"]
    (tmp_path / "backdrop").mkdir()
    for path, data in files.items():
        (tmp_path / path).write_bytes(data)
    found = backdrop.stored(Folder(tmp_path))
    assert found.backdrops == {"garden": made}
    assert found.warnings == []
    assert found.backdrops["garden"].bounds == (1.8996, 53.3997, 1.9004, 53.4003)


def test_a_site_without_one_has_none(tmp_path):
    assert backdrop.stored(Folder(tmp_path)) == backdrop.Stored()


def test_members_that_are_not_known_are_kept(tmp_path):
    assert backdrop.stored(kept(tmp_path, more=[1])).backdrops["garden"].facts["more"] == [1]


@pytest.mark.parametrize(
    "changes",
    [
        {"format": 2},
        {"name": "other"},
        {"bounds": [1.9004, 53.3997, 1.8996, 53.4003]},
        {"bounds": [1.8996, 53.3997, 1.9004]},
        {"bounds": [1.8996, 53.3997, 1.9004, 93.4]},
        {"bounds": [True, 53.3997, 1.9004, 53.4]},
        {"bounds": "1 2 3 4"},
        {"width": 0},
        {"width": 60.5},
        {"source_height": None},
        {"crs": 27700},
        {"pixel_map": None},
        {"pixel_map": {**FACTS["pixel_map"], "grid": [1, 2, 3]}},
        {"pixel_map": {**FACTS["pixel_map"], "frame": [1.9, 153.4]}},
        {"pixel_map": {"grid": FACTS["pixel_map"]["grid"], "fit_sigma_m": 0}},
        {"pixel_map": {**FACTS["pixel_map"], "fit_sigma_m": -1}},
        {"control": None},
        {"control": [{"name": "a"}]},
        {"rmse_m": "0.02"},
    ],
)
def test_damaged_facts_are_told_and_left_out(tmp_path, changes):
    kept(tmp_path, name="good")
    folder = kept(tmp_path, **changes, name="bad") if "name" not in changes else kept(tmp_path)
    if "name" in changes:
        facts = tmp_path / "backdrop" / "garden.json"
        facts.write_text(facts.read_text().replace('"name": "garden"', '"name": "other"'))
    found = backdrop.stored(folder)
    assert list(found.backdrops) == ["good"]
    assert len(found.warnings) == 1
    assert found.warnings[0].startswith("backdrop/")
    assert "It was left out. Read the plan picture again." in found.warnings[0]


@pytest.mark.parametrize("text", ["", "{", "[]", "NaN", '{"format": 1, "format": 1}', "[" * 9999])
def test_facts_that_are_not_json_are_told_and_left_out(tmp_path, text):
    folder = kept(tmp_path)
    (tmp_path / "backdrop" / "garden.json").write_text(text)
    found = backdrop.stored(folder)
    assert found.backdrops == {}
    assert "backdrop/garden.json" in found.warnings[0]


@pytest.mark.parametrize(
    "data",
    [
        b"<svg/>",
        b"\x89PNG\r\n\x1a\n",
        webp()[:-4],
        webp() + b"0000",
        webp(exif=b"Exif\0\0II*\0\x08\0\0\0\0\0"),
        webp(xmp=b"<x:xmpmeta/>"),
        webp(icc_profile=b"0" * 200),
    ],
)
def test_a_picture_with_anything_but_pixels_is_left_out(tmp_path, data):
    found = backdrop.stored(kept(tmp_path, data))
    assert found.backdrops == {}
    assert "backdrop/garden.webp: is not a plain WebP picture" in found.warnings[0]


def test_a_picture_that_is_missing_or_leads_elsewhere_is_left_out(tmp_path):
    site = tmp_path / "site"
    site.mkdir()
    folder = kept(site)
    picture = site / "backdrop" / "garden.webp"
    picture.unlink()
    assert "cannot be opened" in backdrop.stored(folder).warnings[0]
    secret = tmp_path / "secret.webp"
    secret.write_bytes(webp())
    picture.symlink_to(secret)
    assert "a link out of the site's folder" in backdrop.stored(folder).warnings[0]


def test_a_name_that_no_backdrop_has_is_left_out(tmp_path):
    found = backdrop.stored(kept(tmp_path, name="Garden plan"))
    assert "a name that no backdrop has" in found.warnings[0]


def test_facts_that_cannot_be_are_not_written():
    with pytest.raises(InputRefused, match="bounds: is missing or wrong"):
        Backdrop("garden", {**FACTS, "bounds": [0, 0, 0, 0]}, webp()).files()


def test_a_folder_that_cannot_be_listed_is_told(tmp_path):
    """It is not the same as a site that has none."""
    (tmp_path / "backdrop").write_bytes(b"in the way")
    found = backdrop.stored(Folder(tmp_path))
    assert found.backdrops == {}
    assert found.warnings == ["The folder backdrop cannot be listed (Not a directory)."]


def test_what_is_beyond_the_limit_is_told(tmp_path, monkeypatch):
    monkeypatch.setattr(backdrop, "MOST", 2)
    for name in ("b", "c"):
        folder = kept(tmp_path, name=name)
    assert backdrop.stored(folder) == backdrop.Stored(
        {name: Backdrop(name, FACTS, webp()) for name in ("b", "c")}
    )
    found = backdrop.stored(kept(tmp_path, name="a"))
    assert list(found.backdrops) == ["a", "b"]
    assert found.warnings == ["There are more than 2 backdrops; the rest was left out."]


@pytest.mark.parametrize(
    ("changes", "place"),
    [
        ({"bounds": [0, 0, 1]}, "bounds"),
        ({"bounds": [0, 0, 0, 1]}, "bounds"),
        ({"bounds": [0, 1, 1, 1]}, "bounds"),
        ({"bounds": [0, -91, 1, 1]}, "bounds"),
        ({"bounds": [0, 0, 181, 1]}, "bounds"),
        ({"source": None}, "source"),
        ({"source_width": 0}, "source_width"),
        ({"crs": 3}, "crs"),
        ({"pixel_map": {"grid": [0] * 6, "crs": "EPSG:3857"}}, "pixel_map"),
        ({"pixel_map": {"grid": [0] * 6, "crs": 3857, "fit_sigma_m": 0}}, "pixel_map"),
        ({"pixel_map": {"crs": "EPSG:3857", "fit_sigma_m": 0}}, "pixel_map"),
        ({"pixel_map": {**FACTS["pixel_map"], "scale_sigma": -1}}, "pixel_map"),
        ({"pixel_map": {**FACTS["pixel_map"], "frame": [1.9]}}, "pixel_map"),
        ({"control": [{**FACTS["control"][0], "name": 3}]}, "control"),
        ({"control": [{**FACTS["control"][0], "column_row": [1]}]}, "control"),
        ({"control": [{**FACTS["control"][0], "lonlat": [1, 91]}]}, "control"),
        ({"control": [{**FACTS["control"][0], "residual_m": None}]}, "control"),
        ({"control": [3]}, "control"),
        ({"rmse_m": -0.01}, "rmse_m"),
    ],
)
def test_each_member_is_held_against_what_it_means(changes, place):
    with pytest.raises(InputRefused) as caught:
        backdrop.check_facts({"format": 1, "name": "a", **FACTS, **changes}, "a")
    assert str(caught.value) == f"{place}: is missing or wrong. Nothing was changed."


def test_what_the_members_may_say():
    grid = FACTS["pixel_map"]["grid"]
    for changes in (
        {"bounds": [-180, -90, 180, 90]},
        {"width": 1},
        {"crs": "EPSG:27700"},
        {"pixel_map": {"grid": grid, "crs": "EPSG:3857", "fit_sigma_m": 0}},
        {"pixel_map": {**FACTS["pixel_map"], "scale_sigma": 0}},
        {"pixel_map": {**FACTS["pixel_map"], "scale_sigma": None}},
        {"control": []},
        {"rmse_m": None},
        {"rmse_m": 0},
    ):
        assert backdrop.check_facts({"format": 1, "name": "a", **FACTS, **changes}, "a") is None
    for facts, says in (
        ([], "is not an object"),
        ({**FACTS, "name": "a"}, "is not of this format or of this name"),
        ({"format": 1, **FACTS, "name": "b"}, "is not of this format or of this name"),
        ({"format": 1, "name": "a"}, "bounds: is missing or wrong"),
    ):
        with pytest.raises(InputRefused) as caught:
            backdrop.check_facts(facts, "a")
        assert str(caught.value) == f"{says}. Nothing was changed."


def chunk(name, data):
    return name + len(data).to_bytes(4, "little") + data + b"\0" * (len(data) % 2)


def riff(*chunks, form=b"WEBP", tag=b"RIFF"):
    body = form + b"".join(chunks)
    return tag + len(body).to_bytes(4, "little") + body


def test_a_picture_is_looked_through_chunk_by_chunk():
    """RFC 9649, 2.3: name, length, content, and a byte of padding when the length is odd."""
    lossy, odd = chunk(b"VP8 ", b"1234"), chunk(b"ALPH", b"123")
    for good in (riff(lossy), riff(odd, lossy), riff(lossy, odd), riff(chunk(b"VP8X", b"x" * 10))):
        assert backdrop.bare(good)
    for bad in (
        b"",
        riff(lossy, tag=b"RIFX"),
        riff(lossy, form=b"WEBM"),
        riff(lossy)[:-1],
        riff(lossy) + b"\0",
        riff(lossy, chunk(b"EXIF", b"12")),
        riff(chunk(b"ICCP", b"12"), lossy),
        riff(lossy[:-1]),
        riff(lossy + b"\0\0"),
        riff(chunk(b"ALPH", b"123")[:-1]),
        riff(lossy.replace(b"\x04\0\0\0", b"\xff\0\0\0")),
    ):
        assert not backdrop.bare(bad)


def test_what_is_told_of_one_that_is_left_out(tmp_path):
    tail = "It was left out. Read the plan picture again."
    kept(tmp_path, name="No name")
    kept(tmp_path, b"<svg/>", name="picture")
    kept(tmp_path, name="facts", width=0)
    found = backdrop.stored(kept(tmp_path, name="good"))
    assert list(found.backdrops) == ["good"]
    assert found.warnings == [
        f"backdrop/No name.json: has a name that no backdrop has. {tail}",
        f"backdrop/facts.json: width: is missing or wrong. {tail}",
        f"backdrop/picture.webp: is not a plain WebP picture. {tail}",
    ]
    (tmp_path / "backdrop" / "facts.json").unlink()
    (tmp_path / "backdrop" / "facts.json").symlink_to(tmp_path.parent / "elsewhere.json")
    assert backdrop.stored(Folder(tmp_path)).warnings[1] == (
        f"backdrop/facts.json: is a link out of the site's folder. {tail}"
    )


def test_the_largest_files_that_are_read(tmp_path, monkeypatch):
    folder = kept(tmp_path)
    picture = (tmp_path / "backdrop" / "garden.webp").stat().st_size
    facts = (tmp_path / "backdrop" / "garden.json").stat().st_size
    monkeypatch.setattr(backdrop, "LARGEST_PICTURE", picture)
    monkeypatch.setattr(backdrop, "LARGEST_FACTS", facts)
    assert list(backdrop.stored(folder).backdrops) == ["garden"]
    for name, size in (("LARGEST_PICTURE", picture), ("LARGEST_FACTS", facts)):
        monkeypatch.setattr(backdrop, name, size - 1)
        assert "is larger than" in backdrop.stored(folder).warnings[0]
        monkeypatch.setattr(backdrop, name, size)
