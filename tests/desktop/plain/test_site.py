"""The site of a step's own: what a person's site says without its zones, and nobody else's."""

import json
import shutil
import sys
from pathlib import Path

import pytest

from lawnmap.desktop import site as sites
from lawnmap.desktop.problem import Problem
from lawnmap.jobs.opening import open_site

SAMPLE = Path(__file__).parents[3] / "sample_geo" / "site"


def kinds(site):
    return {each["properties"]["feature"] for each in sites.features(site)}


def test_lawnmap_takes_a_fresh_one(tmp_path):
    site = sites.made(tmp_path, None, "Rasen: “Süd”")
    opened = open_site(site).site
    assert opened.title == "Rasen: “Süd”"
    assert opened.zones.empty
    assert opened.placed


def test_choices_and_features_are_taken_over_and_zones_are_not(tmp_path):
    site = sites.made(tmp_path, SAMPLE, "")
    assert (site / "specification.toml").read_bytes() == (
        SAMPLE / "specification.toml"
    ).read_bytes()
    assert kinds(site) == kinds(SAMPLE) - {"zone"}
    opened = open_site(site).site
    assert opened.title == open_site(SAMPLE).site.title
    assert len(opened.features) == len(open_site(SAMPLE).site.features)


def test_without_a_layer_the_zones_come_too(tmp_path):
    site = sites.made(tmp_path, SAMPLE, "", whole=True)
    assert (site / "site.geojson").read_bytes() == (SAMPLE / "site.geojson").read_bytes()


def test_a_damaged_site_is_left_to_lawnmap(tmp_path):
    given = tmp_path / "given"
    given.mkdir()
    (given / "site.geojson").write_text('{"features": [1]}', encoding="utf-8")
    site = sites.made(tmp_path, given, "")
    assert (site / "site.geojson").read_text(encoding="utf-8") == '{"features": [1]}'


def test_choices_may_lie_in_a_folder_without_a_site(tmp_path):
    given = tmp_path / "given"
    given.mkdir()
    (given / "closed.csv").write_text("day\n", encoding="utf-8")
    site = sites.made(tmp_path, given, "Lawns")
    assert (site / "closed.csv").read_text(encoding="utf-8") == "day\n"
    assert open_site(site).site.title == "Lawns"


def test_no_link_is_followed(tmp_path):
    given = tmp_path / "given"
    shutil.copytree(SAMPLE, given)
    (given / "surveys").symlink_to(SAMPLE)
    site = sites.made(tmp_path, given, "")
    assert not (site / "surveys").exists()


@pytest.mark.parametrize("name", ["record.csv", "specification.toml", "site.geojson"])
def test_a_link_among_the_facts_is_told_and_never_left_out_in_silence(tmp_path, name):
    given = tmp_path / "given"
    shutil.copytree(SAMPLE, given)
    (given / name).unlink(missing_ok=True)
    (given / name).symlink_to(__file__)
    with pytest.raises(Problem, match=f"{name}: is a link"):
        sites.made(tmp_path, given, "")


def test_a_change_that_was_cut_off_is_finished_by_lawnmap_first(tmp_path):
    given = tmp_path / "given"
    shutil.copytree(SAMPLE, given)
    (given / ".lawnmap").mkdir(exist_ok=True)
    (given / ".lawnmap" / "journal").write_text("{}", encoding="utf-8")
    with pytest.raises(Problem, match=r"cut off.*lawnmap check"):
        sites.made(tmp_path, given, "")


def test_the_ends_of_lines_stay_as_they_are(tmp_path):
    given = tmp_path / "given"
    shutil.copytree(SAMPLE, given)
    with (given / "specification.toml").open("a", encoding="utf-8") as file:
        file.write('\n[zones.gone]\niron = "not on this site"\n')
    path = given / "specification.toml"
    path.write_bytes(path.read_bytes().replace(b"\n", b"\r\n"))
    site = sites.made(tmp_path, given, "")
    assert "gone" in sites.narrow(site, ["main"])
    assert b"\r\r" not in (site / "specification.toml").read_bytes()
    assert b"\r\n" in (site / "specification.toml").read_bytes()


def test_rows_know_their_zones(tmp_path):
    site = sites.made(tmp_path, None, "")
    features = [
        {"properties": {"feature": "zone", "zone_id": "a", sites.ROW: 4}},
        {"properties": {"feature": "tree", sites.ROW: 5}},
        {"properties": {"feature": "zone", "zone_id": "from-the-site"}},
    ]
    (site / sites.SITE).write_text(json.dumps({"features": features}), encoding="utf-8")
    assert sites.zone_ids(site) == {4: "a"}


@pytest.fixture
def home(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    monkeypatch.setattr(sys, "platform", "linux")
    return tmp_path / "config" / "lawnmap"


def test_the_depot_is_the_one_lawnmap_would_find(tmp_path, home):
    site = tmp_path / "depot" / "estate" / "site"
    site.mkdir(parents=True)
    assert sites.depot(None, None) is None
    assert sites.depot(None, site) is None
    home.mkdir(parents=True)
    assert sites.depot(None, None) == home
    (tmp_path / "depot" / "products.toml").touch()
    assert sites.depot(None, site) == tmp_path / "depot"
    assert sites.depot(None, None) == home
    assert sites.depot(home, site) == home


def test_the_personal_folder_is_where_lawnmap_keeps_it(home, monkeypatch):
    import click

    monkeypatch.setattr("click.utils.sys.platform", "linux")
    assert sites.personal() == Path(click.get_app_dir("lawnmap")) == home
    monkeypatch.setattr(sys, "platform", "darwin")
    monkeypatch.setenv("HOME", "/Users/a")
    library = Path("/Users/a/Library/Application Support/lawnmap")
    assert sites.personal() == Path(click.get_app_dir("lawnmap")) == library
