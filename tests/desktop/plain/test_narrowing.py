"""What is chosen for zones that a layer does not have is taken out, and nothing else."""

import tomllib

import pytest

from lawnmap.desktop import site as sites
from lawnmap.desktop.narrowing import closed_days, specification

TEXT = """\
iron = "allowed"  # [zones.east] in a remark
strips = [
  ["pond", 5.0],
  ["path", 0.3],
]

[zones.west]
leave = true

[zones.east.seeding]
wanted = false
[ zones . "north-1" ] # the north
list = [
  [1, 2],
]
[zones.'x']
a = 1

[[machine]]
name = "[zones.west]"

[money]
hour_rate = 30
"""


@pytest.mark.parametrize(
    ("ids", "left"),
    [
        ({"west", "east", "north-1", "x"}, []),
        ({"west"}, ["east", "north-1", "x"]),
        ({"north-1"}, ["west", "east", "x"]),
        (set(), ["west", "east", "north-1", "x"]),
    ],
)
def test_only_tables_of_other_zones_are_taken_out(ids, left):
    text, names = specification(TEXT, ids)
    assert names == left
    whole = tomllib.loads(TEXT)
    kept = {name: table for name, table in whole["zones"].items() if name in ids}
    found = tomllib.loads(text)
    assert found.pop("zones", {}) == kept
    whole.pop("zones")
    assert found == whole
    assert (text == TEXT) is (not left)


def test_closed_days_of_other_zones_are_taken_out():
    text = (
        "first,last,zones,reason\n2026-09-01,,west east,fair\n2026-09-02,,east,\n2026-09-03,,,all\n"
    )
    shorter, names = closed_days(text, {"west"})
    assert shorter == "first,last,zones,reason\n2026-09-01,,west,fair\n2026-09-03,,,all\n"
    assert names == ["east", "east"]
    assert closed_days(text, {"west", "east"}) == (text, [])
    assert closed_days("first,last\n2026-09-01,\n", set()) == ("first,last\n2026-09-01,\n", [])
    assert closed_days("", {"west"}) == ("", [])


def test_it_is_done_in_the_copy_and_told_once(tmp_path):
    given = tmp_path / "given"
    given.mkdir()
    (given / "specification.toml").write_text("[zones.east]\nleave = true\n", encoding="utf-8")
    (given / "closed.csv").write_text("first,zones\n2026-09-01,east\n", encoding="utf-8")
    site = sites.made(tmp_path, given, "")
    assert sites.narrow(site, {"west"}) == ["east"]
    assert (site / "specification.toml").read_text(encoding="utf-8") == ""
    assert "east" in (given / "specification.toml").read_text(encoding="utf-8")
    (site / "specification.toml").write_bytes(b"\xff")
    assert sites.narrow(site, set()) == []
