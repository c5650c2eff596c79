"""What is handed over: pages with their PDF, what is named or tells no place, issued plans."""

import io
import platform
import shutil
from pathlib import PurePath

import numpy as np
import pytest
import shapely
from pypdf import PdfReader
from shapely.geometry import mapping, shape

from lawnmap import plugins
from lawnmap.errors import InputRefused
from lawnmap.jobs import issue as issue_job
from lawnmap.jobs.check import handed_over
from lawnmap.jobs.export import papers, render
from lawnmap.jobs.issue import issue
from lawnmap.jobs.start import start
from lawnmap.store import issued as issued_store
from lawnmap.store import site as site_store
from lawnmap.store.folder import find
from tests.cli.runner import fresh
from tests.exports.read_back import everything
from tests.jobs.test_plan import planned

PRIVATE = "The key lies under the pot"
EXPORTS = sorted(plugins.available("exports"))


def lawn(zone_id, place, **facts):
    """Return a lawn of 17 by 11 m, at positions whose digits turn up nowhere else."""
    west, south = 7.32164 + 0.0004 * place, 51.84723
    outline = mapping(shapely.box(west, south, west + 0.00025, south + 0.0001))
    facts = {"feature": "zone", "zone_id": zone_id, **facts}
    return {"type": "Feature", "properties": facts, "geometry": outline}


@pytest.fixture(scope="module")
def sample(tmp_path_factory):
    """Return a small site: every paper of it is made several times here."""
    folder = tmp_path_factory.mktemp("site") / "garden"
    start(folder, title="Invented garden")
    home = find(folder)
    facts = {"moss_rating": 4, "thatch_rating": 2, "private_note": PRIVATE}
    lawns = [lawn("a1", 0, name="Front", **facts), lawn("a2", 1, name="Back", **facts)]
    site_store.save(home, site_store.load(home).with_features(lawns))
    return folder


@pytest.fixture(scope="module")
def made(sample):
    return planned(sample)


def decoded(made):
    """Return all that can be read in an export, in whatever way it is hidden."""
    return everything(PurePath(made.name).suffix, made.data)


def test_an_issued_plan_is_a_fact(made, sample, monkeypatch):
    folder = find(sample)
    one, _ = issue(folder, made, audience="client", name="The owner")
    kept = {path.name: path.read_bytes() for path in one.path.iterdir()}
    pages = {"map", "sheet", "notice", "summary"}
    assert {f"{each}.{kind}" for each in pages for kind in ("html", "pdf")} | {
        "plan.json", "inputs.json", "to.json", "files.json",
    } == set(kept)  # fmt: skip
    assert one.id.encode() in kept["map.html"]
    assert all(data.startswith(b"%PDF-") for name, data in kept.items() if name.endswith(".pdf"))
    # The same plan to the same person is one fact; to another person it is another.
    again, told = issue(folder, made, audience="client", name="The owner")
    assert (again.path, one.altered()) == (one.path, [])
    assert "nothing new was written" in told[0]
    monkeypatch.setattr(issue_job, "HANDED_OVER", ("notice",))
    other, _ = issue(folder, made, audience="client", name="The tenant")
    assert other.id == one.id
    assert other.path != one.path
    assert {path.name: path.read_bytes() for path in one.path.iterdir()} == kept
    assert [each.path for each in issued_store.listed(folder)] == [other.path, one.path]
    assert handed_over(folder) == []
    (one.path / "map.html").write_bytes(kept["map.html"] + b" ")
    (finding,) = handed_over(folder)
    assert finding.what == f"issued/{one.path.name}: map.html is not as handed over"


def test_the_id_follows_the_inputs(made, sample, monkeypatch):
    monkeypatch.setattr(issue_job, "HANDED_OVER", ("notice",))
    folder = find(sample)
    one, _ = issue(folder, made, audience="client", name="A")
    changed = made.site.document["features"][0]["properties"]
    try:
        changed["moss_rating"] = 3
        other, _ = issue(folder, made, audience="client", name="A")
    finally:
        changed["moss_rating"] = 4
    assert other.id != one.id


def test_a_page_has_its_pdf_beside_it_and_a_file_for_machines_has_none(made, tmp_path):
    names = [[each.name for each in papers(made, to)] for to in ("notice", "csv", "visit")]
    assert names == [["notice.html", "notice.pdf"], ["plan.csv"], ["visit.html"]]
    (twin,) = papers(made, "notice", tmp_path / "gate.PDF", sheet="Letter", landscape=True)
    width, height = PdfReader(io.BytesIO(twin.data)).pages[0].mediabox[2:]
    assert (round(width), round(height)) == (792, 612)  # 11 by 8.5 inches of 72 points
    (page,) = papers(made, "notice", tmp_path / "gate.html")
    assert page.data.startswith(b"<!DOCTYPE html>")
    with pytest.raises(InputRefused, match="csv has no PDF"):
        papers(made, "csv", tmp_path / "steps.pdf")
    with pytest.raises(InputRefused, match="not made in the size 600x400"):
        papers(made, "notice", sheet="600x400")


def test_what_is_named_goes_out_and_an_unknown_name_is_refused(made):
    named = render(made, "csv", audience="client", also=("hours",)).data.decode("utf-8-sig")
    assert '"hours"' in named.splitlines()[0].split(",")
    assert PRIVATE not in decoded(render(made, "geojson"))  # not even for the owner
    assert PRIVATE in decoded(render(made, "map", also=("private_note",)))
    with pytest.raises(InputRefused, match="'gate_code' is not among") as refused:
        render(made, "map", also=("gate_code",))
    assert "private_note" in refused.value.remedy


def positions(made):
    """Return every longitude and latitude of the site as a text, to some ten metres."""
    shapes = [each["geometry"] for each in made.site.document["features"]]
    flat = np.concatenate([shapely.get_coordinates(shape(each)) for each in shapes])
    assert len(flat)
    return {f"{each:.4f}" for each in flat.ravel()}


def test_a_schematic_tells_no_position_or_is_not_made(made):
    secret = positions(made)
    told, refused = [], []
    for to in EXPORTS:
        try:
            seen = decoded(render(made, to, schematic=True))
        except InputRefused:
            refused.append(to)
            continue
        found = {each for each in secret if each in seen}
        assert not found, (to, sorted(found)[:3])
        told.append(to)
    assert {"geojson", "gpkg", "gpx", "kml"} == set(refused)
    assert {"map", "sheet", "svg", "csv"} <= set(told)


def test_two_processes_write_the_same_bytes(made, sample, tmp_path):
    """Whatever the order of sets and the place it is run from; nothing of either is in it."""
    copy = tmp_path / "home-of-another" / "garden"
    shutil.copytree(sample, copy, ignore=shutil.ignore_patterns("issued", "exports"))
    names = ("map", "sheet", "geojson")
    outcome = fresh(
        "export", copy, *(f"--to={to}" for to in names), "--today", made.today, "-q",
        PYTHONHASHSEED="1", HOME=str(copy.parent), USER="PRIV-user", LOGNAME="PRIV-user",
    )  # fmt: skip
    assert outcome.code == 0, outcome.err
    there = {path.name: path.read_bytes() for path in (copy / "exports").iterdir()}
    assert there == {each.name: each.data for to in names for each in papers(made, to)}
    for name, data in there.items():
        seen = everything(PurePath(name).suffix, data)
        for mark in ("PRIV-", "home-of-", str(tmp_path), f"@{platform.node()}", "/tmp/"):
            assert mark not in seen, (name, mark)
