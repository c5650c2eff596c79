"""Damaged files of a site: whose they are decides the exit code, and what helps is said."""

import pytest

from tests.cli.runner import here as run

ANEW = "Type it anew, put back a copy of yours, or take it away."


@pytest.fixture
def site(tmp_path):
    assert run("start", tmp_path / "garden").code == 0
    return tmp_path / "garden"


@pytest.mark.parametrize("content", [b"", b"lon,lat\n1,2\n", b"\xff", b'{"format":'])
@pytest.mark.parametrize("name", ["heights.csv", "surface.json"])
def test_what_lawnmap_keeps_is_damaged_and_what_helps_is_to_read_it_again(site, name, content):
    (site / name).write_bytes(content)
    done = run("check", site)
    assert done.code == 4
    assert done.err.startswith(f"lawnmap: {name}: ")
    assert "Export" not in done.err
    what = name.partition(".")[0]
    assert f"ove {name} out of the folder and read the {what} again." in done.err
    assert (site / name).read_bytes() == content


def test_a_file_that_a_person_reads_in_is_still_refused(site, tmp_path):
    (tmp_path / "heights.csv").write_bytes(b"lon,lat,height_m\n1,2,3\n")
    assert run("read", tmp_path / "heights.csv", "--as", "height", "--into", site).code == 3
    (tmp_path / "plan.geojson").write_bytes(b"")
    done = run("read", tmp_path / "plan.geojson", "--into", site)
    assert (done.code, "Export the plan again." in done.err) == (3, True)


@pytest.mark.parametrize(
    "name", ["specification.toml", "closed.csv", "weather.csv", "products.toml", "machines.toml"]
)
def test_a_typed_file_that_is_empty_is_typed_anew(site, name):
    where = site.parent if name in {"products.toml", "machines.toml"} else site
    (where / name).write_bytes(b"")
    done = run("plan", site, "--depot", site.parent, "--today", "2026-08-20")
    assert done.code == 3
    assert done.err.startswith(f"lawnmap: {name}: is empty (0 bytes). Nothing was changed. {ANEW}")
