"""What was worked out is found again whole, or not at all."""

import json

import pytest

from lawnmap.jobs.sites.kept import Kept

PART = {
    "site": {"title": "Gärten", "zones": 2, "ground_area_m2": 0.1 + 0.2, "cost": None},
    "steps": {"zone_id": ["a"], "amount": [1e-17]},
    "work": {},
    "crew": "",
    "visits": ["2026-09-01"],
    "out": [["petrol scarifier", "2026-09-01"]],
    "region": "",
    "currency": "GBP",
}
SITE = "north/Mrs Reed's: lawn\n=2"


@pytest.fixture
def kept(tmp_path):
    made = Kept(tmp_path / "out")
    made.folder.mkdir(parents=True)
    return made


def only_file(kept):
    (path,) = kept.folder.glob("*.json")
    return path


def test_a_part_comes_back_to_the_last_digit(kept):
    kept.write(SITE, "d1", PART)
    assert kept.read(SITE, "d1") == PART


def test_a_part_from_other_inputs_or_of_another_site_is_none(kept):
    kept.write(SITE, "d1", PART)
    assert kept.read(SITE, "d2") is None
    assert kept.read("south", "d1") is None


def test_the_name_of_a_file_says_nothing_of_the_site(kept):
    kept.write(SITE, "d1", PART)
    assert "Reed" not in only_file(kept).name


@pytest.mark.parametrize("keep", [0, 1, 40, -1])
def test_a_torn_file_is_none(kept, keep):
    kept.write(SITE, "d1", PART)
    data = only_file(kept).read_bytes()
    only_file(kept).write_bytes(data[:keep])
    assert kept.read(SITE, "d1") is None


@pytest.mark.parametrize(
    "change",
    [
        lambda value: value.update(format=2),
        lambda value: value.pop("seal"),
        lambda value: value["part"]["site"].update(zones=3),
        lambda value: value["part"].pop("out"),
        lambda value: value.update(part=[]),
    ],
)
def test_a_changed_file_is_none(kept, change):
    kept.write(SITE, "d1", PART)
    value = json.loads(only_file(kept).read_bytes())
    change(value)
    only_file(kept).write_text(json.dumps(value), encoding="utf-8")
    assert kept.read(SITE, "d1") is None


@pytest.mark.parametrize("content", [b"[]", b'"text"', b"{}", b"\xff\xfe"])
def test_a_foreign_file_is_none(kept, content):
    kept.write(SITE, "d1", PART)
    only_file(kept).write_bytes(content)
    assert kept.read(SITE, "d1") is None


def test_what_a_killed_run_left_is_in_nobodys_way(kept):
    kept.write(SITE, "d1", PART)
    path = only_file(kept)
    path.with_name(f".{path.name}.tmp").write_bytes(b"half")
    kept.write(SITE, "d2", PART)
    assert kept.read(SITE, "d2") == PART
    assert [each.name for each in kept.folder.iterdir()] == [path.name]


def test_what_is_forgotten(kept):
    for name in ("a", "b", "c"):
        kept.write(name, "d", PART)
    kept.forget(but=["b"])
    assert [kept.read(name, "d") is not None for name in "abc"] == [False, True, False]
    kept.forget()
    assert kept.read("b", "d") is None
