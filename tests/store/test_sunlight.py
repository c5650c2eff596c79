"""The cache of the hours of sun: what is kept, found again, and never trusted."""

import datetime as dt
import json
from dataclasses import replace

import numpy as np
import pytest

from lawnmap.files.seal import seal_of
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
    del value["seal"]
    (there,) = value["maps"]
    yield {**value, "format": 3}
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
    if isinstance(value, dict):  # sealed as lawnmap does it, so that only this is wrong
        value = {"seal": seal_of(value), **value}
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


def test_a_sound_result_behind_a_link_is_not_written_over(folder, tmp_path_factory):
    """It may be that of another site, with the same facts."""
    other = Folder(tmp_path_factory.mktemp("other"))
    sunlight.keep(other, "0" * 12, light())
    theirs = other.cache / f"sun-{'0' * 12}.json"
    before = theirs.read_bytes()
    folder.cache.mkdir(parents=True)
    (folder.cache / theirs.name).symlink_to(theirs)
    assert sunlight.keep(folder, "0" * 12, light(season=False)) == ()
    assert theirs.read_bytes() == before
    assert sunlight.read(folder, "0" * 12) == light(season=False)


def test_a_cache_that_leads_round_and_round_is_none(folder):
    folder.private.mkdir()
    folder.cache.symlink_to(folder.cache)
    assert sunlight.keep(folder, "0" * 12, light()) == (
        "The hours of sun were not kept: the cache is a link out of the site's folder.",
    )
    assert sunlight.read(folder, "0" * 12) is None
    assert sunlight.kept(folder) == []


def test_no_more_than_some_are_kept(folder):
    for number in range(sunlight.MOST_KEPT):
        sunlight.keep(folder, f"{number:012x}", light())
    assert len(sunlight.kept(folder)) == sunlight.MOST_KEPT
    sunlight.keep(folder, "f" * 12, light())
    assert sunlight.kept(folder) == [light()]


def test_the_file_to_the_letter():
    value = json.loads(sunlight.encode(light()))
    assert value.pop("seal") == seal_of(value)
    assert value == {
        "format": sunlight.FORMAT,
        "first": "2026-04-01",
        "last": "2026-09-30",
        "season": True,
        "step_m": 0.5,
        "latitude": 53.8,
        "open_h": 15.1,
        "zones": {"a": [4.2, 1.0, 9.5, 3]},
        "maps": [
            {
                "bounds": [-1.6, 53.7, -1.5, 53.8],
                "shape": [3, 4],
                "gaps": [1, 7, 3],
                "hundredths": [425, 0, 1250],
            }
        ],
        "told": ["A note."],
        "facts": FACTS,
    }
    assert sunlight.encode(light()).endswith(b"}\n")


def test_one_changed_figure_under_the_seal_is_noticed(folder):
    data = sunlight.encode(light())
    folder.cache.mkdir(parents=True)
    path = folder.cache / f"sun-{'0' * 12}.json"
    path.write_bytes(data)
    assert sunlight.read(folder, "0" * 12) == light()
    path.write_bytes(data.replace(b"425", b"525"))
    assert sunlight.read(folder, "0" * 12) is None


def sealed(**changes):
    value = json.loads(sunlight.encode(light()))
    del value["seal"]
    value |= changes
    return json.dumps({"seal": seal_of(value), **value}).encode()


def test_the_bounds_themselves_are_sound():
    there = json.loads(sunlight.encode(light()))["maps"][0]
    for changes in (
        {"open_h": 24},
        {"open_h": 0},
        {"step_m": 0},
        {"step_m": 1_000},
        {"latitude": -90},
        {"latitude": 90},
        {"maps": []},
        {"maps": [{**there, "bounds": [-180, -90, 180, 90]}]},
        {"maps": [{**there, "gaps": [0, 7, 4], "hundredths": [0, 1, 2_400]}]},
        {"maps": [{**there, "gaps": [], "hundredths": []}]},
        {"facts": {"p" * sunlight.LONGEST: "1"}},
    ):
        assert sunlight.parse(sealed(**changes)).season is True
    for changes in (
        {"open_h": 24.1},
        {"latitude": 90.1},
        {"step_m": 1_000.5},
        {"maps": [{**there, "gaps": [0, 7, 5]}]},
        {"maps": [{**there, "hundredths": [0, 1, 2_401]}]},
        {"maps": [{**there, "hundredths": [0, 1, -1]}]},
        {"maps": [{**there, "shape": [0, 4], "gaps": [], "hundredths": []}]},
        {"maps": [{**there, "shape": [-3, -4], "gaps": [], "hundredths": []}]},
        {"maps": [{**there, "shape": [1, 4_000_001], "gaps": [], "hundredths": []}]},
        {"maps": [{**there, "bounds": [0, 0, 0, 1]}]},
        {"maps": [{**there, "bounds": [0, 1, 1, 1]}]},
        {"maps": [{**there, "bounds": [-181, 0, 1, 1]}]},
        {"maps": [{**there, "bounds": [0, -91, 1, 1]}]},
        {"maps": [{**there, "bounds": [0, 0, 1, 91]}]},
        {"facts": {"p" * (sunlight.LONGEST + 1): "1"}},
    ):
        with pytest.raises(sunlight.BROKEN):
            sunlight.parse(sealed(**changes))
