"""The heavy stages: each tests what is there, and is due once something it tests has changed."""

import json
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
STAGES = tomllib.loads((ROOT / ".ci" / "stages.toml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("name", STAGES)
def test_a_stage_tests_paths_that_are_there(name):
    assert [path for path in STAGES[name]["paths"] if not (ROOT / path).exists()] == []
    assert STAGES[name]["when"] in {"in CI when its paths changed", "before a release"}
    assert STAGES[name]["what"]


def test_every_stage_of_ci_was_passed_at_least_once():
    passed = json.loads((ROOT / ".ci" / "stages.json").read_text(encoding="utf-8"))
    ours = {name for name, stage in STAGES.items() if stage["when"] != "before a release"}
    assert ours <= passed.keys() <= STAGES.keys()


@pytest.fixture
def tree(tmp_path):
    """Return a small source tree with three stages: one that passes, one that fails, one rare."""
    (tmp_path / ".ci").mkdir()
    shutil.copy(ROOT / ".ci" / "stage", tmp_path / ".ci" / "stage")
    stages = [
        ("good", "in CI when its paths changed", "echo good >> ran"),
        ("bad", "in CI when its paths changed", "echo bad >> ran; false; echo never >> ran"),
        ("rare", "before a release", "echo rare >> ran"),
    ]
    text = "".join(
        f'[{name}]\nwhat = "{name}"\nwhen = "{when}"\npaths = ["{name}"]\n'
        f'commands = ["{command}"]\n'
        for name, when, command in stages
    )
    (tmp_path / ".ci" / "stages.toml").write_text(text)
    for name, _, _ in stages:
        (tmp_path / name).mkdir()
        (tmp_path / name / "a.py").write_text("1")
    subprocess.run(["git", "init", "-q", tmp_path], check=True)
    return tmp_path


def stage(tree, *arguments):
    done = subprocess.run(
        [sys.executable, tree / ".ci" / "stage", *arguments],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    ran = (tree / "ran").read_text().split() if (tree / "ran").exists() else []
    (tree / "ran").unlink(missing_ok=True)
    return done.returncode, ran, done.stdout + done.stderr


def test_a_stage_runs_when_it_never_passed_and_when_its_files_changed(tree):
    assert stage(tree, "due")[:2] == (1, ["good", "bad"])
    code, ran, said = stage(tree, "due")
    assert (code, ran) == (1, ["bad"])  # what failed is tried again, what passed is not
    assert "stage not run: good: passed on" in said
    assert "stage not run: rare: never passed; before a release" in said
    (tree / "rare" / "a.py").write_text("2")
    assert stage(tree, "due")[1] == ["bad"]
    (tree / "good" / "b.py").write_text("")
    assert stage(tree, "due")[1] == ["good", "bad"]
    (tree / "good" / "b.py").unlink()
    assert stage(tree, "due")[1] == ["good", "bad"]


def test_a_stage_is_run_by_its_name(tree):
    code, ran, said = stage(tree, "run", "rare")
    assert (code, ran) == (0, ["rare"])
    assert "stage rare: passed in" in said
    assert stage(tree, "run", "bad", "good")[:2] == (1, ["bad", "good"])
    code, ran, said = stage(tree, "run", "unknown")
    assert (code, ran) == (2, [])
    assert "Stages: good, bad, rare" in said
    assert stage(tree)[:2] == (0, [])


def test_a_stage_that_cannot_run_here_is_said_last_and_is_not_passed(tree):
    kept = tree / ".ci" / "stages.toml"
    text = kept.read_text().replace("echo good >> ran", "echo good >> ran; exit 75; false")
    kept.write_text(text.replace("echo bad >> ran; false", "echo bad >> ran"))
    code, ran, said = stage(tree, "due")
    assert (code, ran) == (0, ["good", "bad", "never"])
    assert "stage good: SKIPPED\n" in said
    *_, line, what, _ = said.splitlines()
    assert line == "SKIPPED: stage good cannot run on this machine and was NOT tested:"
    assert what.strip() == "good"
    assert "good" not in json.loads((tree / ".ci" / "stages.json").read_text())
    assert stage(tree, "due")[1] == ["good"]  # it stays due
    assert stage(tree, "run", "good")[0] == 75
    kept.write_text(text)
    (tree / "bad" / "a.py").write_text("2")
    code, _, said = stage(tree, "due")
    assert code == 1  # a failure is no less one because another stage was skipped
    assert "SKIPPED: stage good" in said.splitlines()[-3]


def test_a_gis_that_cannot_be_installed_is_said_loudly(tmp_path):
    for name in ("bash", "id", "env"):
        (tmp_path / name).symlink_to(shutil.which(name))
    done = subprocess.run(
        ["bash", ROOT / ".ci" / "desktop"],
        env={"PATH": str(tmp_path), "LAWNMAP_GIS_PYTHON": "/bin/false"},
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 75
    assert done.stderr.startswith("SKIPPED: QGIS is not installed here")
    assert done.stdout == ""
