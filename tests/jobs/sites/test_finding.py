"""Sites are found at any depth, and nothing that is no site is taken for one."""

import os
from pathlib import Path

import pytest

from lawnmap.errors import InputRefused
from lawnmap.jobs.sites.finding import DEEPEST, as_text, labels, search

OUT = Path("nowhere")


def site(folder):
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "site.geojson").write_text("{}", encoding="utf-8")


def found(top, out=OUT):
    return [(each.site_id, each.region) for each in search(top, leave_out=out).found]


def test_sites_at_any_depth_with_their_region_in_the_order_of_their_ids(tmp_path):
    for name in ("z", "north/b", "north/a/deep", "south/a"):
        site(tmp_path / name)
    assert found(tmp_path) == [
        ("north/a/deep", "north"),
        ("north/b", "north"),
        ("south/a", "south"),
        ("z", ""),
    ]


def test_the_source_may_be_a_site_itself_and_a_site_may_lie_below_another(tmp_path):
    site(tmp_path / "estate")
    site(tmp_path / "estate" / "lodge")
    assert found(tmp_path / "estate") == [("estate", ""), ("lodge", "")]


@pytest.mark.parametrize("inside", [".lawnmap", ".git", "issued", "exports", "surveys", "photos"])
def test_what_lies_inside_a_site_is_no_site(tmp_path, inside):
    site(tmp_path / "a")
    site(tmp_path / "a" / inside / "copy")
    assert found(tmp_path) == [("a", "")]


def test_results_of_an_earlier_run_are_not_looked_into(tmp_path):
    site(tmp_path / "a")
    site(tmp_path / "results" / "b")
    assert found(tmp_path, out=tmp_path / "results") == [("a", "")]


def test_a_site_whose_file_is_gone_is_not_passed_by(tmp_path):
    (tmp_path / "a" / ".lawnmap" / "backups").mkdir(parents=True)
    assert found(tmp_path) == [("a", "")]


def test_links_are_not_followed_and_are_counted(tmp_path):
    site(tmp_path / "top" / "a")
    site(tmp_path / "elsewhere")
    (tmp_path / "top" / "a" / "again").symlink_to(tmp_path / "top", target_is_directory=True)
    (tmp_path / "top" / "out").symlink_to(tmp_path / "elsewhere", target_is_directory=True)
    looked = search(tmp_path / "top", leave_out=OUT)
    assert [each.site_id for each in looked.found] == ["a"]
    assert looked.links == 2


def test_folders_nested_without_end_are_left(tmp_path):
    site(tmp_path.joinpath(*["d"] * DEEPEST))
    site(tmp_path.joinpath(*["d"] * (DEEPEST + 1)))
    looked = search(tmp_path, leave_out=OUT)
    assert [each.site_id for each in looked.found] == ["/".join(["d"] * DEEPEST)]
    assert looked.deeper == 1


def test_a_folder_that_cannot_be_opened_is_told(tmp_path, monkeypatch):
    site(tmp_path / "a")
    site(tmp_path / "locked" / "b")
    real = os.scandir

    def refusing(path):
        if Path(path).name == "locked":
            raise PermissionError(13, "Permission denied", str(path))
        return real(path)

    monkeypatch.setattr(os, "scandir", refusing)
    one, other = search(tmp_path, leave_out=OUT).found
    assert (one.site_id, one.problem) == ("a", "")
    assert (other.site_id, other.problem) == (
        "locked",
        "cannot be looked into (Permission denied)",
    )


def test_a_source_that_is_no_folder(tmp_path):
    with pytest.raises(InputRefused, match="is not a folder"):
        search(tmp_path / "none", leave_out=OUT)


@pytest.mark.skipif(os.name == "nt", reason="names are text there")
def test_a_name_that_is_no_text_is_shown_by_its_bytes(tmp_path):
    raw = os.fsdecode(b"garden-\xe9")
    try:
        site(tmp_path / raw)
    except OSError:
        pytest.skip("this disk takes no such name")
    assert found(tmp_path) == [("garden-\\xe9", "")]
    assert as_text("Gärten") == "Gärten"


def test_depots_are_called_by_their_path_below_the_source(tmp_path):
    top = tmp_path / "gardens"
    inside, deeper = top / "north", top / "north" / "yard"
    named = labels([None, inside, deeper, tmp_path], top)
    assert named == {None: "", inside: "north", deeper: "north/yard", tmp_path: tmp_path.name}


def test_two_depots_are_never_called_the_same(tmp_path):
    top = tmp_path / "north" / "gardens"
    one, other = tmp_path / "north", top / "north"
    assert labels([one, other], top) == {None: "", one: "../north", other: "north"}
