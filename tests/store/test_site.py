import json
import re

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lawnmap import schema
from lawnmap.errors import Busy, InputRefused, SiteDamaged, WriteFailed
from lawnmap.model import Site
from lawnmap.store.folder import Folder
from lawnmap.store.site import create, load, save
from tests.disks import Failing, Recording
from tests.store.sites import count_of, counted, made, site, zone

KNOWN = {column.name for column in schema.COLUMNS}
NUMBERS = st.integers(-(10**28), 10**28) | st.floats(allow_nan=False, allow_infinity=False)
TEXT = st.text(st.characters(exclude_categories=("Cs",)), max_size=12)
VALUES = st.recursive(
    st.none() | st.booleans() | NUMBERS | TEXT,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(TEXT, inner, max_size=3),
    max_leaves=8,
)
OPEN_NAMES = TEXT.filter(lambda name: name not in {*KNOWN, "feature"})
MEMBER_NAMES = TEXT.filter(lambda name: name not in {"type", "lawnmap", "features", "crs"})
HEADER_NAMES = TEXT.filter(
    lambda name: (
        name not in {"format", "revision", "title", "surveyed", "timezone", "placed", "anchor"}
    )
)
DEGREES = st.tuples(st.floats(-180, 180), st.floats(-90, 90)).map(list)


@st.composite
def documents(draw):
    features = []
    for number in range(draw(st.integers(0, 3))):
        points = draw(st.lists(DEGREES, min_size=3, max_size=6))
        feature = zone(f"a{number}", **draw(st.dictionaries(OPEN_NAMES, VALUES, max_size=3)))
        feature["geometry"]["coordinates"] = [[*points, points[0]]]
        feature["id"] = draw(VALUES)
        features.append(feature)
    made_up = draw(st.dictionaries(MEMBER_NAMES, VALUES, max_size=3))
    header = draw(st.dictionaries(HEADER_NAMES, VALUES, max_size=3))
    title = draw(TEXT)
    return {**made_up, **site(*features, title=title, **header).document, "features": features}


@settings(
    max_examples=100, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(document=documents())
def test_whatever_is_saved_is_loaded_again(tmp_path_factory, document):
    folder = Folder(tmp_path_factory.mktemp("any") / "garden")
    first = create(folder, Site(document)).site
    again = save(folder, first).site
    loaded = load(folder)
    assert loaded.document == again.document
    wanted = {**document, "lawnmap": {**document["lawnmap"], "revision": 2}}
    assert loaded.document == wanted
    # Equal is not enough: 1, 1.0 and true are equal, and so are 0.0 and -0.0.
    assert json.dumps(loaded.document, sort_keys=True) == json.dumps(wanted, sort_keys=True)


def test_a_new_site_is_there(tmp_path):
    folder = Folder(tmp_path / "garden")
    saved = create(folder, site(title="Elm Row"), {"specification.toml": b"# mine\n"})
    assert saved.warnings == ()
    assert saved.site.revision == 1
    assert load(folder).document == saved.site.document
    assert load(str(folder.site)).title == "Elm Row"
    assert folder.specification.read_bytes() == b"# mine\n"


def test_an_empty_site_is_a_site(tmp_path):
    folder = Folder(tmp_path / "garden")
    create(folder, Site({**site().document, "features": []}))
    assert load(folder).document["features"] == []


def test_a_new_site_leaves_what_is_there(tmp_path):
    folder = Folder(tmp_path)
    folder.specification.write_bytes(b"# by hand\n")
    saved = create(folder, site(), {"specification.toml": b"# first\n", "photos/a.txt": b"a"})
    assert folder.specification.read_bytes() == b"# by hand\n"
    assert (folder.photos / "a.txt").read_bytes() == b"a"
    assert saved.warnings == ("specification.toml was there already and was left as it is.",)


def test_a_site_is_not_made_twice(tmp_path):
    folder, _ = made(tmp_path / "garden")
    before = folder.site.read_bytes()
    with pytest.raises(InputRefused, match="holds a site already"):
        create(folder, site())
    assert folder.site.read_bytes() == before
    save(folder, load(folder))
    folder.site.unlink()  # a site whose file is gone still has its backups
    with pytest.raises(InputRefused, match="holds a site already"):
        create(folder, site())


def test_a_site_needs_a_place(tmp_path):
    with pytest.raises(WriteFailed) as caught:
        create(Folder(tmp_path / "none" / "garden"), site())
    assert caught.value.file == "garden"
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(WriteFailed):
        create(Folder(tmp_path / "file"), site())
    assert [path.name for path in tmp_path.iterdir()] == ["file"]


def test_one_feature_a_line_header_first(tmp_path):
    folder, _ = made(tmp_path / "garden", zone("a1"), zone("a2"), title="Élan", note="line\nbreak")
    lines = folder.site.read_text(encoding="utf-8").splitlines()
    assert lines[:2] == ["{", '"type":"FeatureCollection",']
    assert lines[2].startswith('"lawnmap":{"format":1,"title":"Élan"')
    assert [json.loads(line.rstrip(","))["properties"]["zone_id"] for line in lines[4:6]] == [
        "a1",
        "a2",
    ]
    assert lines[6:] == ["]", "}"]


def test_saving_the_same_twice_changes_one_line(tmp_path):
    folder, new = made(tmp_path / "garden", zone("a1"), zone("a2"))
    first = folder.site.read_text(encoding="utf-8").splitlines()
    save(folder, new)
    second = folder.site.read_text(encoding="utf-8").splitlines()
    assert [
        number for number, pair in enumerate(zip(first, second, strict=True)) if len(set(pair)) > 1
    ] == [2]


def test_a_changed_site_is_not_overwritten(tmp_path):
    folder, mine = made(tmp_path / "garden")
    theirs = save(folder, counted(mine, 5)).site
    before = folder.site.read_bytes()
    with pytest.raises(Busy) as caught:
        save(folder, counted(mine, 7), also={"record.csv": b"mine"})
    assert caught.value.exit_code == 6
    message = str(caught.value)
    assert "now at revision 2" in message
    assert "yours is revision 1" in message
    assert "site.mine-1.geojson" in message
    assert folder.site.read_bytes() == before
    assert not folder.record.exists()
    kept = Folder(tmp_path / "kept")
    kept.path.mkdir()
    (folder.path / "site.mine-1.geojson").rename(kept.site)
    assert count_of(load(kept)) == 7
    assert count_of(save(folder, counted(theirs, 8)).site) == 8


def test_two_edits_are_kept_apart(tmp_path):
    folder, mine = made(tmp_path / "garden")
    save(folder, mine)
    for count in (7, 8, 7):
        with pytest.raises(Busy):
            save(folder, mine.with_features([zone("a1", count=count)]))
    names = sorted(path.name for path in folder.path.glob("site.mine*"))
    assert names == ["site.mine-1-2.geojson", "site.mine-1.geojson"]


def test_another_program_meanwhile(tmp_path):
    folder, mine = made(tmp_path / "garden")
    foreign = {key: value for key, value in mine.document.items() if key != "lawnmap"}
    folder.site.write_text(json.dumps(foreign), encoding="utf-8")
    with pytest.raises(Busy, match=r"by another program.*site\.mine-1\.geojson"):
        save(folder, counted(mine, 7))
    assert json.loads(folder.site.read_bytes()) == foreign


def test_damage_meanwhile_keeps_the_edit(tmp_path):
    folder, mine = made(tmp_path / "garden")
    folder.site.write_bytes(b"{")
    with pytest.raises(SiteDamaged, match=r"Your edit is kept in site\.mine-1\.geojson"):
        save(folder, counted(mine, 7))
    assert folder.site.read_bytes() == b"{"
    assert (folder.path / "site.mine-1.geojson").exists()


def test_a_missing_file_is_damage(tmp_path):
    folder, mine = made(tmp_path / "garden")
    mine = save(folder, mine).site
    folder.site.unlink()
    with pytest.raises(SiteDamaged, match=r"is missing.*revision 1"):
        load(folder)
    with pytest.raises(SiteDamaged, match="is missing"):
        save(folder, mine)
    assert not folder.site.exists()


def texts(good):
    """Return damaged site files by what happened to them."""
    value = json.loads(good)

    def with_feature(**changes):
        return json.dumps({**value, "features": [{**zone("a1"), **changes}]}).encode()

    return {
        "empty": b"",
        "NUL bytes": bytes(len(good)),
        "cut in the middle": good[: len(good) // 2],
        "cut at the end": good[:-3],
        "doubled": good + good,
        "a NUL in the middle": good.replace(b"a1", b"a\0"),
        "not UTF-8": good.replace(b"a1", b"a\xff"),
        "not JSON": b"<kml/>",
        "a list": b"[]",
        "a bare geometry": json.dumps(zone("a1")["geometry"]).encode(),
        "a header that is text": good.replace(b'{"format":1', b'"":{"format":1', 1),
        "no revision": re.sub(rb'"revision":\d+', b'"other":1', good),
        "a revision that is text": re.sub(rb'"revision":\d+', b'"revision":"2"', good),
        "no features": json.dumps({**value, "features": None}).encode(),
        "no properties": with_feature(properties=None),
        "no geometry": with_feature(geometry=None),
        "NaN": good.replace(b"52.0", b"NaN", 1),
        "too large a number": good.replace(b"52.0", b"1e999", 1),
    }


@pytest.mark.parametrize("what", list(texts(b'{"features": []}')))
def test_a_damaged_file_is_told_and_left(tmp_path, what):
    folder, new = made(tmp_path / "garden")
    save(folder, save(folder, new).site)
    data = texts(folder.site.read_bytes())[what]
    folder.site.write_bytes(data)
    with pytest.raises(SiteDamaged) as caught:
        load(folder)
    assert caught.value.exit_code == 4
    message = str(caught.value)
    assert message.startswith("site.geojson: ")
    assert "Nothing was changed." in message
    assert re.search(
        r"backup is revision 2 of \d{4}-\d\d-\d\d: lawnmap check SITE --restore", message
    )
    assert folder.site.read_bytes() == data


def test_a_newer_file_is_told_and_left(tmp_path):
    folder, _ = made(tmp_path / "garden")
    folder.site.write_bytes(folder.site.read_bytes().replace(b'"format":1', b'"format":2'))
    before = folder.site.read_bytes()
    with pytest.raises(SiteDamaged, match=r"format 2.*newer lawnmap") as caught:
        load(folder)
    assert caught.value.exit_code == 4
    assert folder.site.read_bytes() == before


def test_without_a_backup_none_is_offered(tmp_path):
    folder, _ = made(tmp_path / "garden")
    folder.site.write_bytes(b"{")
    with pytest.raises(SiteDamaged, match="There is no good backup"):
        load(folder)


def test_a_damaged_backup_is_not_offered(tmp_path):
    folder, new = made(tmp_path / "garden")
    save(folder, save(folder, new).site)
    newest = max(folder.backups.iterdir())
    newest.write_bytes(b"{")
    folder.site.write_bytes(b"{")
    with pytest.raises(SiteDamaged, match="backup is revision 1"):
        load(folder)


@pytest.mark.parametrize("change", ["no lawnmap", "a crs"])
def test_a_file_of_another_program_is_refused(tmp_path, change):
    folder, new = made(tmp_path / "garden")
    value = dict(new.document)
    if change == "no lawnmap":
        del value["lawnmap"]
    else:
        value["crs"] = {"type": "name", "properties": {"name": "urn:ogc:def:crs:OGC:1.3:CRS84"}}
    folder.site.write_text(json.dumps(value), encoding="utf-8")
    before = folder.site.read_bytes()
    with pytest.raises(InputRefused, match=r"another program.*--adopt") as caught:
        load(folder)
    assert caught.value.exit_code == 3
    assert folder.site.read_bytes() == before


def test_what_cannot_be_opened_is_not_called_damaged(tmp_path):
    folder, _ = made(tmp_path / "garden")
    for number in (1, 2, 3, 5):  # every look at the folder
        with pytest.raises(InputRefused, match=r"cannot be opened \(Input/output error\)"):
            load(folder, disk=Failing(number))
    folder.site.unlink()
    folder.site.symlink_to("site.geojson")  # but this can never be opened
    with pytest.raises(SiteDamaged, match="a link that leads to itself"):
        load(folder)


def test_what_cannot_be_opened_meanwhile_keeps_the_edit(tmp_path):
    class Unreadable(Recording):
        def do(self, call, /, *args, **kwargs):
            if call.__name__ == "read_regular":
                reason = PermissionError(13, "Permission denied")
                raise InputRefused("cannot be opened", file="site.geojson") from reason
            return super().do(call, *args, **kwargs)

    folder, mine = made(tmp_path / "garden")
    with pytest.raises(InputRefused, match=r"Your edit is kept in site\.mine-1\.geojson"):
        save(folder, counted(mine, 7), disk=Unreadable())
    assert count_of(load(folder)) == 0
    assert (folder.path / "site.mine-1.geojson").exists()


@pytest.mark.parametrize(
    ("value", "says"),
    [
        (float("nan"), "JSON"),
        (float("inf"), "JSON"),
        ("half \ud800 a character", "JSON"),
        (10**40, "digits"),
    ],
)
def test_what_json_cannot_say_is_refused_before_the_disk_is_touched(tmp_path, value, says):
    folder, new = made(tmp_path / "garden")
    before = folder.site.read_bytes()
    disk = Recording()
    with pytest.raises(InputRefused, match=says):
        save(folder, counted(new, 1, guess=value), disk=disk)
    assert disk.calls == []
    assert folder.site.read_bytes() == before


def test_deep_nesting_is_refused(tmp_path):
    folder, new = made(tmp_path / "garden")
    deep = []
    for _ in range(900):
        deep = [deep]
    with pytest.raises(InputRefused):
        save(folder, counted(new, 1, deep=deep))
    assert load(folder).revision == 1


def test_tuples_become_lists(tmp_path):
    folder, new = made(tmp_path / "garden")
    saved = save(folder, counted(new, 1, pair=(1, 2))).site
    assert saved.document["features"][0]["properties"]["pair"] == [1, 2]
    assert load(folder).document == saved.document


def test_only_the_sites_own_files_change_together(tmp_path):
    folder, new = made(tmp_path / "garden")
    outside = tmp_path / "outside.csv"
    outside.write_bytes(b"outside")
    for name in ("../outside.csv", "/etc/passwd", "specification.toml", ".lawnmap/lock", ""):
        with pytest.raises(InputRefused, match="cannot change together"):
            save(folder, new, also={name: b"x"})
    folder.record.symlink_to(outside)
    with pytest.raises(InputRefused, match="cannot change together"):
        save(folder, new, also={"record.csv": b"x"})
    assert outside.read_bytes() == b"outside"
    assert load(folder).revision == 1


def test_an_unconfirmed_save_is_a_save_with_a_warning(tmp_path):
    folder, new = made(tmp_path / "garden")

    class Unconfirmed(Recording):
        def sync_folder(self, path):
            raise OSError(5, "Input/output error")

    saved = save(folder, counted(new, 7), disk=Unconfirmed())
    assert "did not confirm" in saved.warnings[0]
    assert count_of(load(folder)) == 7
