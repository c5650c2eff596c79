"""A run that is refused before it kept anything leaves the disk as it was."""

import json
from pathlib import Path

import pytest

from lawnmap.errors import InputRefused
from lawnmap.jobs.sites.run import run as run_of_folder
from lawnmap.jobs.sites.table.laying import Reading
from lawnmap.jobs.sites.table.run import Asked
from lawnmap.jobs.sites.table.run import run as run_of_table
from tests.jobs.sites import gardens
from tests.jobs.sites.gardens import Ear, wanted


def with_no_such_depot(top, out):
    gardens.write(top / "gardens" / "front", 1)
    run_of_folder(top / "gardens", out, wanted(top, depot=top / "away"), Ear())


def with_no_table(top, out):
    (top / "verges.txt").write_text("no table", encoding="utf-8")
    run_of_table(top / "verges.txt", out, wanted(top), Asked(), Ear())


def with_water_of_no_site(top, out):
    """Refuse half way: the zones are laid out by then."""
    (zone,) = gardens.document(1)["features"]
    zone["properties"]["site_id"] = "a"
    pond = {"type": "Feature", "geometry": None, "properties": {"feature": "water"}}
    zones, features = top / "verges.geojsonl", top / "ponds.geojsonl"
    zones.write_text(json.dumps(zone) + "\n", encoding="utf-8")
    features.write_text(json.dumps(pond) + "\n", encoding="utf-8")
    run_of_table(zones, out, wanted(top), Asked(features=Reading(features)), Ear())


REFUSED = pytest.mark.parametrize(
    "refused", [with_no_such_depot, with_no_table, with_water_of_no_site]
)


@REFUSED
def test_no_folder_is_left(tmp_path, refused):
    out = tmp_path / "far" / "out"
    with pytest.raises(InputRefused):
        refused(tmp_path, out)
    assert not out.parent.exists()


@REFUSED
def test_a_folder_that_was_there_stays_as_empty_as_it_was(tmp_path, refused):
    out = tmp_path / "out"
    out.mkdir()
    with pytest.raises(InputRefused):
        refused(tmp_path, out)
    assert list(out.iterdir()) == []


def everything(out: Path) -> dict[str, bytes]:
    return {str(path): path.read_bytes() for path in out.rglob("*") if path.is_file()}


@REFUSED
def test_what_an_earlier_run_left_stays(tmp_path, refused):
    out = tmp_path / "out"
    gardens.write(tmp_path / "sites" / "back", 2)
    run_of_folder(tmp_path / "sites", out, wanted(tmp_path), Ear())
    before = everything(out)
    with pytest.raises(InputRefused):
        refused(tmp_path, out)
    left = {name: data for name, data in everything(out).items() if "laid" not in name}
    assert left == before
