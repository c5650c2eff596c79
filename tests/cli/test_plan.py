"""The command plan: one zone, one zone traced, and the same bytes for the same inputs."""

import pytest

from tests.cli.runner import SAMPLE, fresh, run

SITE = SAMPLE / "site"
ON = ("--today", "2026-08-01")


def test_one_zone_traced():
    outcome = run("plan", SITE, *ON, "--why", "main")
    assert outcome.code == 0
    assert outcome.out.startswith("main: every number of its plan, and where it comes from.\n")
    assert "(rule area_ground)" in outcome.out
    assert "\\x" not in outcome.out


def test_one_zone_traced_as_json():
    found = run("plan", SITE, *ON, "--why", "main", "--json").json
    assert found["command"] == "plan"
    assert found["result"]["zone_id"] == "main"
    area = found["result"]["trace"][0]
    assert area["what"] == "ground area"
    assert area["figures"][0]["unit"] == "m²"
    assert {given["name"] for given in area["inputs"]} >= {"outline_area_m2", "slope_deg"}
    assert all(each["how"] for each in found["result"]["trace"])


@pytest.mark.parametrize("option", ["--why", "--zone"])
def test_a_zone_that_is_not_there(option):
    outcome = run("plan", SITE, *ON, option, "mian")
    assert outcome.code == 3
    assert "there is no zone 'mian'" in outcome.err
    assert "Did you mean main?" in outcome.err


def test_one_zone_alone():
    out = run("plan", SITE, *ON, "--zone", "main").out
    assert out.startswith("main: ")
    assert "\nterrace: " not in out


@pytest.mark.parametrize("more", [(), ("--json",), ("--why", "main"), ("--why", "main", "--json")])
def test_the_same_plan_twice_is_the_same_bytes(more):
    one, other = (run("plan", SITE, *ON, *more, PYTHONHASHSEED=seed) for seed in ("1", "2"))
    assert one.code == 0
    assert len(one.out) > 1000
    assert one.out == other.out


def test_a_fork_answers_as_a_new_process_does():
    words = ("plan", SITE, *ON, "--json")
    assert run(*words) == fresh(*words)


@pytest.mark.parametrize("kind", ["sheet", "map"])
def test_the_same_paper_twice_is_the_same_bytes(tmp_path, kind):
    texts = []
    for seed in ("1", "2"):
        path = tmp_path / f"{seed}.html"
        outcome = run("export", SITE, *ON, "--to", kind, "-o", path, PYTHONHASHSEED=seed)
        assert outcome.code == 0, outcome.err
        texts.append(path.read_bytes())
    assert len(texts[0]) > 10_000
    assert texts[0] == texts[1]
