"""The cache of the hours of sun: what is kept, found again, and never trusted."""

import datetime as dt
import json
from dataclasses import replace

import numpy as np
import pytest

from lawnmap.grids import GridMap
from lawnmap.light import Sunlight, ZoneSun
from lawnmap.store import sunlight
from lawnmap.store.folder import Folder

FACTS = {"trees": "1", "outlines": "2"}


def light(**changes):
    hours = np.full((3, 4), np.nan, dtype=np.float32)
    hours[0, 1], hours[2, 0], hours[2, 3] = 4.25, 0, 12.5
    made = Sunlight(
        dt.date(2026, 4, 1), dt.date(2026, 9, 30), season=True, step_m=0.5, latitude=53.8,
        open_h=15.1, zones={"a": ZoneSun(4.2, 1.0, 9.5, 3)},
        maps=(GridMap(hours, (-1.6, 53.7, -1.5, 53.8)),), told=("A note.",), facts=FACTS,
    )  # fmt: skip
    return replace(made, **changes)


@pytest.fixture
def folder(tmp_path):
    return Folder(tmp_path)


def test_what_is_kept_is_found_again(folder):
    assert sunlight.keep(folder, "0" * 12, light()) == ()
    found = sunlight.read(folder, "0" * 12)
    assert found == light()
    assert found.maps[0].cells == pytest.approx(light().maps[0].cells, nan_ok=True)
    assert sunlight.kept(folder) == [found]


def test_nothing_is_kept_at_first(folder):
    assert sunlight.read(folder, "0" * 12) is None
    assert sunlight.kept(folder) == []
    assert sunlight.kept(None) == []


def test_results_of_other_facts_go_and_other_files_stay(folder):
    sunlight.keep(folder, "0" * 12, light())
    sunlight.keep(folder, "1" * 12, light(season=False))
    (folder.cache / "other.json").write_text("{}")
    assert len(sunlight.kept(folder)) == 2
    sunlight.keep(folder, "2" * 12, light(facts={"trees": "3"}))
    assert [each.facts for each in sunlight.kept(folder)] == [{"trees": "3"}]
    assert (folder.cache / "other.json").exists()


def test_the_key_is_of_facts_and_choices():
    key = sunlight.key_of(FACTS, 1, None)
    assert key == sunlight.key_of(dict(reversed(FACTS.items())), 1, None)
    assert key != sunlight.key_of(FACTS, 1, 2)
    assert key != sunlight.key_of({**FACTS, "trees": "x"}, 1, None)
    assert sunlight.NAME.fullmatch(f"sun-{key}.json")


def spoilt():
    value = json.loads(sunlight.encode(light()))
    (there,) = value["maps"]
    yield {**value, "format": 2}
    yield {**value, "season": "yes"}
    yield {**value, "first": "soon"}
    yield {**value, "open_h": 25}
    yield {**value, "zones": {"a": [1, 2, 3]}}
    yield {**value, "zones": {"a": [-1, 2, 3, 4]}}
    yield {**value, "maps": [{**there, "shape": [10**6, 10**6]}]}
    yield {**value, "maps": [{**there, "gaps": [1, 7, 99]}]}
    yield {**value, "maps": [{**there, "gaps": [-1, 7, 3]}]}
    yield {**value, "maps": [{**there, "hundredths": [1, 2]}]}
    yield {**value, "maps": [{**there, "hundredths": [1, 2, 9000]}]}
    yield {**value, "maps": [{**there, "bounds": [0, 0, 400, 1]}]}
    yield {**value, "maps": [{**there, "gaps": [10**29], "hundredths": [1]}]}
    yield {**value, "maps": [{**there, "shape": [2000, 2000], "gaps": [], "hundredths": []}] * 6}
    yield {**value, "open_h": 10**29}
    yield {**value, "step_m": "nan"}
    yield {**value, "step_m": -1}
    yield {**value, "latitude": 1e300}
    yield {**value, "facts": {"a part\x1b[2J": "1"}}
    yield {**value, "facts": {"long" * 100: "1"}}
    yield {key: each for key, each in value.items() if key != "told"}
    yield []
    yield None


@pytest.mark.parametrize("value", list(spoilt()))
def test_what_is_not_sound_is_as_if_it_were_not_there(folder, value):
    folder.cache.mkdir(parents=True)
    (folder.cache / f"sun-{'0' * 12}.json").write_text(json.dumps(value))
    assert sunlight.read(folder, "0" * 12) is None
    assert sunlight.kept(folder) == []
    sunlight.keep(folder, "1" * 12, light())  # and goes when something is kept
    assert len(list(folder.cache.iterdir())) == 1


def test_a_cache_that_leads_elsewhere_is_not_written(folder, tmp_path_factory):
    elsewhere = tmp_path_factory.mktemp("elsewhere")
    folder.private.mkdir()
    folder.cache.symlink_to(elsewhere)
    assert "link" in sunlight.keep(folder, "0" * 12, light())[0]
    assert list(elsewhere.iterdir()) == []
    assert sunlight.kept(folder) == []


def test_a_link_in_the_cache_is_not_followed(folder, tmp_path_factory):
    target = tmp_path_factory.mktemp("elsewhere") / "precious"
    target.write_text("precious")
    folder.cache.mkdir(parents=True)
    path = folder.cache / f"sun-{'0' * 12}.json"
    path.symlink_to(target)
    sunlight.keep(folder, "0" * 12, light())
    assert target.read_text() == "precious"
    assert sunlight.read(folder, "0" * 12) == light()


def test_a_disk_that_does_not_take_it_is_told(folder):
    folder.private.write_text("a file where the folder should be")
    assert "could not be kept" in sunlight.keep(folder, "0" * 12, light())[0]
