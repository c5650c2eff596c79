import copy
import functools
import json

import pytest

from lawnmap.errors import SiteDamaged
from lawnmap.model import FORMAT
from lawnmap.store import document, migrations
from lawnmap.store import site as store_site
from lawnmap.store.migrations import MIGRATIONS, bring_up
from lawnmap.store.site import load, save
from tests.store.sites import made


def renamed(old):
    """Bring format 1 to an invented format 2, in which the title is called headline."""
    header = {key: value for key, value in old["lawnmap"].items() if key != "title"}
    return {**old, "lawnmap": {**header, "headline": old["lawnmap"]["title"]}}


def marked(old):
    """Bring format 2 to an invented format 3, in which each feature is marked."""
    return {**old, "features": [{**each, "mark": 3} for each in old["features"]]}


INVENTED = {1: renamed, 2: marked}
OLD = {
    "type": "FeatureCollection",
    "lawnmap": {"format": 1, "title": "t"},
    "features": [{}],
    "x": 1,
}


def test_there_is_a_step_from_every_format_to_the_next():
    assert sorted(MIGRATIONS) == list(range(1, FORMAT))


def test_steps_are_taken_in_order_and_change_nothing_given():
    before = copy.deepcopy(OLD)
    new = bring_up(OLD, name="site.geojson", newest=3, migrations=INVENTED)
    assert new["lawnmap"] == {"format": 3, "headline": "t"}
    assert new["features"] == [{"mark": 3}]
    assert new["x"] == 1
    assert before == OLD


def test_the_newest_is_left_as_it_is():
    assert bring_up(OLD, name="site.geojson", newest=1, migrations=INVENTED) is OLD


def test_newer_is_refused():
    with pytest.raises(SiteDamaged, match=r"format 2.*up to 1") as caught:
        bring_up({**OLD, "lawnmap": {"format": 2}}, name="site.geojson", newest=1)
    assert caught.value.exit_code == 4


def test_a_format_that_never_was_is_refused():
    with pytest.raises(SiteDamaged, match="no lawnmap ever wrote"):
        bring_up(OLD, name="site.geojson", newest=3, migrations={2: marked})


def test_an_old_file_is_brought_up_in_memory_and_kept_for_good(tmp_path, monkeypatch):
    folder, _ = made(tmp_path / "garden", title="Elm Row")
    old = folder.site.read_bytes()
    up = functools.partial(migrations.bring_up, newest=3, migrations=INVENTED)
    monkeypatch.setattr(document, "bring_up", up)
    monkeypatch.setattr(store_site, "FORMAT", 3)

    site = load(folder)
    assert site.header["headline"] == "Elm Row"
    assert folder.site.read_bytes() == old

    for _ in range(8):
        site = save(folder, site).site
    now = json.loads(folder.site.read_bytes())
    assert now["lawnmap"]["format"] == 3
    assert now["lawnmap"]["revision"] == 9
    assert "title" not in now["lawnmap"]
    assert (folder.path / "site.format-1.geojson").read_bytes() == old
    assert len(list(folder.path.glob("site.format-*"))) == 1
