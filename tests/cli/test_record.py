"""``lawnmap record`` as a person types it."""

import shutil

import pytest

from tests.cli.runner import SAMPLE, run

DAY = ("--today", "2026-09-20")
IRON = "product=Saltmarsh Moss Iron (invented)"


@pytest.fixture
def garden(tmp_path):
    return shutil.copytree(SAMPLE / "site", tmp_path / "garden")


def test_record_list_take_back_and_register(garden, tmp_path):
    made = run("record", garden, "main", "iron_soluble", "amount=0.6 kg", "area=180 m2", IRON, *DAY)
    assert made.code == 0
    assert "work.1: iron_soluble on main, 2026-09-20 (today)" in made.out
    assert "3.3333 g/m² (worked out)" in made.out
    assert "Elemental iron on main in 2026: 0.667 g/m² in 1 application." in made.out
    assert "check your local list): start=, batch=" in made.out
    assert made.out.endswith("Saved as revision 2.\n")
    assert "above the label's rate, 3.125 g/m²: 1.07 times" in made.err
    gone = run("record", garden, "--cancel", "work.1", "reason=wrong zone", *DAY)
    assert "work.2: takes work.1 back. Reason: wrong zone." in gone.out
    assert "work.2" in run("record", garden, "--list").out
    (row,) = run("record", garden, "--list", "--year", "2026", "--json").json["result"]
    assert (row["record_id"], row["taken_back_by"]) == ("work.1", "work.2")
    assert run("record", garden, "--list", "--year", "2025").out == (
        "Nothing is recorded for 2025.\n"
    )
    path = tmp_path / "2026.csv"
    told = run("record", garden, "--register", path, "--year", "2026")
    assert "Register of 2026, 1 row: " in told.out
    assert "EPPO code" in told.out
    piped = run("record", garden, "--register", "-", "--year", "2026")
    assert piped.out.encode() == path.read_bytes()
    assert run("record", garden, "--register", path).code == 2


def test_json_has_the_row_and_the_warnings(garden):
    made = run("record", garden, "main", "iron_soluble", "dose=4 g/m2", IRON, "--json", *DAY)
    assert made.json["result"]["row"]["record_id"] == "work.1"
    assert made.json["result"]["saved"]
    assert len(made.json["warnings"]) == 2


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ((), "say which ZONE and which OPERATION"),
        (("main",), "'main' is only one of ZONE and OPERATION"),
        (("main", "mowing", "extra"), "write 'extra' as KEY=VALUE"),
        (("main", "mowing", "amount=5", "g"), 'in quotes, amount="5 g"'),
        (("main", "mowing", "by=a", "by=b"), "by= is given twice"),
        (("main", "mowing", "=3"), "no name before its equals sign"),
        (("--list", "--cancel", "a"), "one at a time"),
        (("--list", "--force"), "--force does not go with --list"),
        (("--list", "main"), "'main' does not go with --list"),
        (("main", "mowing", "--year", "2026"), "--year does not go with recording work"),
        (("main", "--cancel", "work.1", "reason=x"), "does not go with --cancel"),
    ],
)
def test_what_is_not_understood_is_answered_with_2(garden, words, told):
    refused = run("record", garden, *words)
    assert refused.code == 2
    assert told in refused.err
    assert not (garden / "record.csv").exists()
