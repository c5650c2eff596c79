"""The command sites: what it prints, and what is left when it is stopped or killed."""

import json
import re
import signal
import subprocess
import sys
import time
from pathlib import Path

import click
import pytest

from lawnmap.cli.sites import sites
from lawnmap.cli.talk import Talk
from lawnmap.jobs.sites.run import run as job
from tests.cli.runner import here as run
from tests.jobs.sites import gardens
from tests.jobs.sites.gardens import Ear, tables_of, wanted

ON = ("--today", "2026-08-20")
PATIENCE_S = 60.0


@pytest.fixture(scope="module")
def top(tmp_path_factory):
    """Two gardens that can be planned and one that cannot."""
    top = gardens.depot(tmp_path_factory.mktemp("sites") / "gardens")
    gardens.write(top / "north" / "front", 1)
    gardens.write(top / "south" / "back", 2, moss=None, thatch=None)
    (gardens.write(top / "south" / "torn", 3) / "site.geojson").write_text("{", encoding="utf-8")
    return top


@pytest.fixture(scope="module")
def first(top):
    """Run it for the first time."""
    return run("sites", top, "-o", top.parent / "out", *ON)


def test_what_is_printed_is_short_and_says_what_is_in_the_way(first, top):
    assert first.code == 3
    lines = first.out.splitlines()
    assert lines[0] == "2 sites planned, 1 not: see below."
    assert "Dune Seed (invented)" in first.out
    assert "1 zone not rated yet (south/back): lawnmap assess." in lines
    assert any(line.startswith("- south/torn: site.geojson: ") for line in lines)
    assert lines[-1].startswith(f"Written to {top.parent / 'out'}: sites.csv, needs.csv")
    assert len(lines) < 40
    assert first.err == ""


def test_the_same_as_json_and_nothing_is_worked_out_twice(first, top):
    again = run("sites", top, "-o", top.parent / "out", *ON, "--json")
    assert again.code == first.code
    assert again.err == "2 of 3 sites are as they were: nothing to work out there.\n"
    assert again.json["command"] == "sites"
    result = again.json["result"]
    assert result["planned"] == 2
    assert [(each["site_id"], each["code"]) for each in result["not_planned"]] == [
        ("south/torn", 4)
    ]
    assert [each["site_id"] for each in result["sites"]] == [
        "north/front", "south/back", "south/torn",
    ]  # fmt: skip
    assert result["hours"] == pytest.approx(sum(each["hours"] or 0 for each in result["sites"]))
    assert all(Path(each).is_file() for each in result["files"])


def test_a_folder_for_results_is_needed(top):
    outcome = run("sites", top)
    assert outcome.code == 2
    assert "Missing option '-o'" in outcome.err


def test_a_table_of_zones_is_taken_too(tmp_path):
    table = tmp_path / "verges.geojsonl"
    lines = []
    for number in range(4):
        feature = gardens.document(number)["features"][0]
        feature["properties"] |= {"SITE": f"verge {number // 2}", "zone_id": f"z{number}"}
        lines.append(json.dumps(feature))
    table.write_text("\n".join([*lines, ""]), encoding="utf-8")
    choices = tmp_path / "choices.toml"
    choices.write_text('turf_type = "verge"\n', encoding="utf-8")
    out = tmp_path / "out"
    given = ("--rename", "site_id=SITE", "--choices", choices)
    outcome = run("sites", table, "-o", out, *ON, *given)
    assert outcome.code == 0, outcome.err
    assert outcome.out.startswith("2 sites planned.\nGround: 306 m² in 4 zones")
    assert [row["site_id"] for row in gardens.rows(out, "sites")] == ["verge 0", "verge 1"]


def test_what_else_is_mapped_is_taken_from_a_second_table(tmp_path):
    zone = gardens.document(0)["features"][0]
    half = [[[x if x == -1.0 else x - gardens.SIDE / 2, y] for x, y in gardens.square(0)]]
    bed = {
        "type": "Feature",
        "geometry": {"type": "Polygon", "coordinates": half},
        "properties": {"SITE": "lawn-0", "KIND": "bed"},
    }
    tables = [tmp_path / name for name in ("verges.geojsonl", "things.geojsonl")]
    for path, feature in zip(tables, (zone, bed), strict=True):
        path.write_text(json.dumps(feature) + "\n", encoding="utf-8")
    given = ("--features-rename", "site_id=SITE", "--features-rename", "feature=KIND")
    command = ("sites", tables[0], "-o", tmp_path / "out", *ON)
    alone = run(*command, *given)
    assert (alone.code, "--features-rename is for --features" in alone.err) == (2, True)
    outcome = run(*command, "--features", tables[1], *given)
    assert outcome.code == 0, outcome.err
    assert "Ground: 38.2 m² in 1 zone" in outcome.out  # half of it
    assert "Mapped beside the zones: bed 1." in outcome.err
    lost = run(*command, "--features", tables[1], "--features-rename", "feature=KIND")
    assert lost.code == 3
    assert "things.geojsonl: has no column site_id" in lost.err


@pytest.mark.parametrize(
    ("options", "problem"),
    [
        (("--layer", "x"), "--layer is for a table, and SOURCE is none"),
        (("--engine", "dask"), "--engine is for a table, and SOURCE is none"),
        (("--workers", "0"), "0 is not in the range"),
    ],
)
def test_an_option_that_does_not_fit(top, options, problem):
    with pytest.raises(click.UsageError, match=re.escape(problem)):
        sites.main([str(top), "-o", "nowhere", *options], standalone_mode=False, obj=Talk())


def started(top, out, *more):
    """Start a run that hears Ctrl-C; beside tests in the background it would begin deaf to it."""
    hearing = ["env", "--default-signal=INT"]  # of the GNU core utilities; it becomes the command
    return subprocess.Popen(
        [*hearing, sys.executable, "-m", "lawnmap", "sites", str(top), "-o", str(out), *ON, *more],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )


def kept(out):
    return len(list((out / ".parts").glob("*.json")))


def wait_for(condition):
    until = time.monotonic() + PATIENCE_S
    while not condition():
        assert time.monotonic() < until
        time.sleep(0.01)


def children(pid):
    return Path(f"/proc/{pid}/task/{pid}/children").read_text(encoding="ascii").split()


@pytest.mark.skipif(sys.platform != "linux", reason="looks for processes in /proc")
def test_what_is_stopped_or_killed_goes_on_where_it_was(tmp_path):
    top, out = gardens.depot(tmp_path / "gardens"), tmp_path / "out"
    for number in range(5):
        gardens.write(top / f"garden-{number}", number)

    stopped = started(top, out, "--workers", "1")
    wait_for(lambda: kept(out) >= 1)
    stopped.send_signal(signal.SIGINT)
    _, said = stopped.communicate(timeout=PATIENCE_S)
    assert stopped.returncode == 130
    assert f"of 5 sites are kept in {out}; its tables and papers were not written." in said.decode()
    assert "Traceback" not in said.decode()
    after_stop = kept(out)

    killed = started(top, out, "--workers", "2")
    wait_for(lambda: kept(out) > after_stop or killed.poll() is not None)
    workers = children(killed.pid)
    killed.kill()
    killed.communicate(timeout=PATIENCE_S)
    wait_for(lambda: not any(Path(f"/proc/{each}").exists() for each in workers))
    assert 1 <= after_stop <= kept(out)

    ear = Ear()
    job(top, out, wanted(tmp_path), ear)
    assert ear.kept >= after_stop
    job(top, tmp_path / "whole", wanted(tmp_path), Ear())
    assert tables_of(out) == tables_of(tmp_path / "whole")
