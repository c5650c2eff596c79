"""The audit without a network: what matches, how old the copy is, and what it never says.

The records are invented, in the form that OSV 1.6 gives them (ossf.github.io/osv-schema).
"""

import datetime as dt
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.house import audit
from tests.house.lock import ROOT

TODAY = dt.date(2026, 11, 26)


def record(number=1, name="alpha", ranges=(), versions=(), modified="2026-11-20", **more):
    affected = {"package": {"ecosystem": "PyPI", "name": name}}
    if ranges:
        affected["ranges"] = [{"type": "ECOSYSTEM", "events": list(ranges)}]
    if versions:
        affected["versions"] = list(versions)
    return {
        "id": f"PYSEC-2026-{number}",
        "modified": f"{modified}T10:00:00Z",
        "affected": [affected],
        **more,
    }


FIXED = [{"introduced": "0"}, {"fixed": "2.0"}]


@pytest.fixture
def copy(tmp_path):
    def make(*records, yaml=False):
        import yaml as written

        for each in records:
            folder = tmp_path / "vulns" / each["affected"][0]["package"]["name"].lower()
            folder.mkdir(parents=True, exist_ok=True)
            path = folder / f"{each['id']}.{'yaml' if yaml else 'json'}"
            path.write_text(written.safe_dump(each) if yaml else json.dumps(each), "utf-8")
        return tmp_path

    return make


def said(folder, today=TODAY, **wanted):
    return audit.audit(folder, {name: {version} for name, version in wanted.items()}, today)


@pytest.mark.parametrize("yaml", [False, True], ids=["json", "yaml"])
def test_a_match_is_told_with_its_remedy(copy, yaml):
    lines, code = said(copy(record(ranges=FIXED, aliases=["CVE-2026-1"]), yaml=yaml), alpha="1.9")
    assert "alpha 1.9: PYSEC-2026-1 (CVE-2026-1): fixed in 2.0" in lines
    assert lines[-1] == "1 advisories of this copy match"
    assert code == 1


def test_a_fresh_copy_without_a_match(copy):
    lines, code = said(copy(record(ranges=FIXED)), alpha="2.0", beta="1")
    assert lines == [
        "advisory copy: 1 records for PyPI, the newest of 2026-11-20, 6 days old; "
        "2 distributions looked up",
        "no advisory of this copy matches",
    ]
    assert code == 0


@pytest.mark.parametrize(
    ("days", "stale"), [(0, False), (30, False), (31, True), (777, True), (-1, True)]
)
def test_an_old_copy_is_stale_and_never_good(copy, days, stale):
    folder = copy(record(ranges=FIXED, modified=str(TODAY - dt.timedelta(days))))
    lines, code = said(folder, alpha="2.0")
    assert f"{days} days old" in lines[0]
    assert lines[-1].startswith("stale") is stale
    assert code == (3 if stale else 0)
    assert "clean" not in " ".join(lines)


def test_the_date_is_that_of_the_newest_record_and_not_of_the_files(copy):
    folder = copy(
        record(1, modified="2024-10-10", ranges=FIXED),
        record(2, name="other", modified="2024-09-01", versions=["1"]),
    )
    for path in folder.rglob("*.json"):
        os.utime(path)
    assert "newest of 2024-10-10" in said(folder, alpha="2.0")[0][0]


@pytest.mark.parametrize("kind", ["no option", "no folder", "empty", "a file", "other files"])
def test_without_a_copy_nothing_is_audited(tmp_path, kind):
    (tmp_path / "note.txt").write_text("hello", "utf-8")
    (tmp_path / "empty").mkdir()
    folder = {
        "no option": None,
        "no folder": tmp_path / "none",
        "empty": tmp_path / "empty",
        "a file": tmp_path / "note.txt",
        "other files": tmp_path,
    }[kind]
    lines, code = said(folder, alpha="1")
    assert lines == ["not audited: no copy of the Python advisory database is on this machine"]
    assert code == 3


def test_a_file_that_cannot_be_read_is_told(copy):
    folder = copy(record(ranges=FIXED))
    for name, text in {
        "cut.json": '{"id": "PYSEC',
        "list.json": "[]",
        "bare.yaml": "a: [",
        "undated.json": json.dumps({**record(9), "modified": None}),
        "odd.json": json.dumps({**record(9), "affected": [{"package": 3}]}),
    }.items():
        (folder / name).write_text(text, "utf-8")
    lines, code = said(folder, alpha="2.0")
    assert lines[-1] == "incomplete: 5 files could not be read; no advisory of this copy matches"
    assert "could not be read: cut.json (JSONDecodeError)" in lines
    assert code == 3


def test_what_is_withdrawn_or_of_another_world_does_not_count(copy):
    folder = copy(
        record(1, ranges=FIXED, withdrawn="2026-11-21T00:00:00Z"),
        record(2, name="beta", ranges=FIXED),
    )
    other = record(3, ranges=FIXED)
    other["affected"][0]["package"]["ecosystem"] = "npm"
    assert said(copy(other), alpha="1")[1] == 0
    assert said(folder, beta="1")[1] == 1


@pytest.mark.parametrize(
    ("events", "here", "wanted"),
    [
        # OSV schema, "Evaluation": events in order of version; fixed is outside, last_affected in.
        ([{"introduced": "0"}, {"fixed": "2.0"}], "1.99", "2.0"),
        ([{"introduced": "0"}, {"fixed": "2.0"}], "2.0", None),
        ([{"introduced": "1.5"}, {"fixed": "2.0"}], "1.4", None),
        ([{"introduced": "0"}, {"last_affected": "2.0"}], "2.0", ""),
        ([{"introduced": "0"}, {"last_affected": "2.0"}], "2.0.1", None),
        ([{"introduced": "0"}], "99", ""),
        ([{"fixed": "2.0"}, {"introduced": "3.0"}, {"introduced": "0"}], "2.5", None),
        ([{"introduced": "0"}, {"fixed": "1.0"}, {"introduced": "3.0"}, {"fixed": "3.2"}], "3.1",
         "3.2"),
        ([{"introduced": "0"}, {"fixed": "1.10"}], "1.9", "1.10"),
    ],
)  # fmt: skip
def test_ranges(events, here, wanted):
    assert audit._within(events, here) == wanted


def test_lists_of_versions_and_records_that_name_none(copy):
    assert audit.touches({"versions": ["1.0", "1.1"]}, "1.1.0") == "is on its list of versions"
    assert audit.touches({"versions": ["1.0"]}, "1.1") == ""
    assert audit.touches({"versions": ["not a version"]}, "1.1") == ""
    for events in ([{"introduced": "odd"}], [{}], [{"introduced": "0", "fixed": "1"}], None):
        odd = {"ranges": [{"type": "ECOSYSTEM", "events": events}]}
        assert audit.touches(odd, "1.1") == "its versions are not understood: look for yourself"
    lines, code = said(copy(record(name="Alpha_X")), **{"alpha-x": "1"})
    assert "alpha-x 1: PYSEC-2026-1: names no versions: look for yourself" in lines
    assert code == 1


def test_the_lock_and_the_tool_chain_are_looked_up():
    found = audit.in_use()
    assert len(found["numpy"]) >= 1
    assert {"pillow", "fpdf2", "pip", "hatchling"} <= set(found)
    assert len(found) > 80


def test_the_command(copy, figure):
    def run(*arguments):
        done = subprocess.run(
            [sys.executable, "-m", "tests.house.audit", "--today", "2026-11-26", *arguments],
            cwd=ROOT,
            capture_output=True,
            text=True,
            timeout=60,
            check=False,
        )
        assert done.stderr == ""
        return done.returncode, done.stdout.splitlines()

    fresh = copy(record(name="click", ranges=FIXED))
    assert run("--database", str(fresh), "--strict")[0] == 0
    assert run("--strict") == (3, run()[1])
    assert run()[0] == 0
    hit = copy(record(2, name="click", ranges=[{"introduced": "0"}]))
    code, lines = run("--database", str(hit))
    assert (code, lines[-1]) == (1, "1 advisories of this copy match")
    real = os.environ.get("LAWNMAP_ADVISORIES")
    lines, code = audit.audit(Path(real) if real else None, audit.in_use(), dt.date.today())  # noqa: DTZ011
    figure(29, f"audit: {lines[-1]}{f' ({lines[0]})' if len(lines) > 1 else ''}")
    assert code in {0, 1, 3}
