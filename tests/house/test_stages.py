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
