import pytest

from lawnmap.errors import InputRefused
from lawnmap.store.folder import Folder, find
from tests.store.sites import made


def test_a_folder_or_the_file_in_it(tmp_path):
    made(tmp_path / "garden")
    assert find(tmp_path / "garden") == find(str(tmp_path / "garden" / "site.geojson"))
    assert find(tmp_path / "garden").name == "garden"


def test_a_folder_is_named_even_from_inside(tmp_path, monkeypatch):
    made(tmp_path / "garden")
    monkeypatch.chdir(tmp_path / "garden")
    assert find(".").name == "garden"
    assert find("site.geojson").name == "garden"


def test_where_things_are(tmp_path):
    folder = Folder(tmp_path)
    parts = [
        folder.site, folder.specification, folder.record, folder.closed, folder.issued,
        folder.surveys, folder.replies, folder.photos, folder.backdrop, folder.lock,
        folder.journal, folder.backups, folder.cache,
    ]  # fmt: skip
    assert [path.relative_to(tmp_path).as_posix() for path in parts] == [
        "site.geojson", "specification.toml", "record.csv", "closed.csv", "issued",
        "surveys", "replies", "photos", "backdrop", ".lawnmap/lock",
        ".lawnmap/journal", ".lawnmap/backups", ".lawnmap/cache",
    ]  # fmt: skip


def test_what_is_no_site(tmp_path):
    with pytest.raises(InputRefused, match=r"holds no site\.geojson"):
        find(tmp_path)
    with pytest.raises(InputRefused, match=r"holds no site\.geojson"):
        find(tmp_path / "none")
    (tmp_path / "plan.kml").write_bytes(b"<kml/>")
    with pytest.raises(InputRefused, match="is not a site"):
        find(tmp_path / "plan.kml")
    with pytest.raises(InputRefused, match="cannot be opened"):
        find(tmp_path / ("x" * 300))


def test_a_site_whose_file_is_gone_is_found_by_its_backups(tmp_path):
    (tmp_path / ".lawnmap" / "backups").mkdir(parents=True)
    assert find(tmp_path) == Folder(tmp_path)


@pytest.mark.parametrize(
    "name",
    [
        "site.geojson", "record.csv", "closed.csv", "surveys/2027-03-01.geojson",
        "surveys/2027-03-01-2.geojson", f"replies/{'0f' * 32}.json",
    ],
)  # fmt: skip
def test_what_may_change_together(tmp_path, name):
    assert Folder(tmp_path).together(name) == tmp_path / name


@pytest.mark.parametrize(
    "name",
    [
        "", ".", "..", "../site.geojson", "/site.geojson", "site.geojson\n", "specification.toml",
        ".lawnmap/lock", "surveys/../../x.geojson", "replies/../site.geojson", "replies/0f.json",
        "SITE.GEOJSON", "record.csv/x",
    ],
)  # fmt: skip
def test_what_may_not(tmp_path, name):
    with pytest.raises(InputRefused, match="cannot change together"):
        Folder(tmp_path).together(name)


def test_a_link_out_of_the_folder_may_not(tmp_path):
    inside = tmp_path / "garden"
    inside.mkdir()
    (inside / "replies").symlink_to(tmp_path)
    with pytest.raises(InputRefused, match="cannot change together"):
        Folder(inside).together(f"replies/{'0f' * 32}.json")
