from lawnmap.store.aside import live, set_aside
from lawnmap.store.folder import Folder


def test_nothing_that_was_set_aside_is_overwritten(tmp_path):
    folder = Folder(tmp_path)
    names = [set_aside(folder, "found", data) for data in (b"a", b"b", b"a", b"c", b"b")]
    assert names == [
        "site.found.geojson",
        "site.found-2.geojson",
        "site.found.geojson",
        "site.found-3.geojson",
        "site.found-2.geojson",
    ]
    assert [(tmp_path / name).read_bytes() for name in sorted(set(names))] == [b"b", b"c", b"a"]


def test_an_empty_file_in_the_way_is_left(tmp_path):
    folder = Folder(tmp_path)
    (tmp_path / "site.found.geojson").write_bytes(b"")
    assert set_aside(folder, "found", b"a") == "site.found-2.geojson"
    assert (tmp_path / "site.found.geojson").read_bytes() == b""


def test_the_live_file_good_or_not(tmp_path):
    folder = Folder(tmp_path)
    assert live(folder) == b""
    folder.site.write_bytes(b"")
    assert live(folder) == b""
    folder.site.write_bytes(b"\0\0")
    assert live(folder) == b"\0\0"


def test_what_a_killed_writer_left_is_in_nobodys_way(tmp_path):
    (tmp_path / ".site.found.geojson.tmp").write_bytes(b"half")
    assert set_aside(Folder(tmp_path), "found", b"a") == "site.found.geojson"
    assert [path.name for path in tmp_path.iterdir()] == ["site.found.geojson"]


def test_the_file_that_it_could_not_be_gives_it_its_name(tmp_path):
    folder = Folder(tmp_path)
    assert set_aside(folder, "mine-3", b"a", name="record.csv") == "record.mine-3.csv"
    assert set_aside(folder, "mine-3", b"b", name="record.csv") == "record.mine-3-2.csv"
    assert set_aside(folder, "mine-3", b"a", name="backdrop/plan.webp") == "plan.mine-3.webp"
