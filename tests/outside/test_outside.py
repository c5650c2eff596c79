"""A package by somebody else, from a fresh environment to its removal, by the command line only.

``meadow`` is the package that docs/plugins.md writes; ``thistle`` goes wrong in every way; ``twin``
offers names that are taken. The story runs once, and each test looks at what was kept of it.
"""

import csv
import datetime as dt
import json
import re
import subprocess
from types import SimpleNamespace

import pytest

from lawnmap.errors import InputRefused
from lawnmap.reference import tables
from tests.outside.conftest import HERE, ROOT, clean

SAMPLE = ROOT / "sample_geo"
ZONES = ("front-west", "front-east", "side-strip")
UNSEEN = "Nobody may read this"
TODAY = ("--today", "2026-09-01")
OPERATIONS = ("mowing", "brushing", "scarifying", "raking", "clearing", "overseeding", "watering")
REFUSED = InputRefused.exit_code


def sequence(path, texts):
    """Write a GeoJSON text sequence as RFC 8142 has it: RS before, LF behind each text."""
    path.write_bytes(b"".join(b"\x1e" + json.dumps(each).encode() + b"\n" for each in texts))


def plan_file(path):
    """Write some zones of the sample, and all that is around them, one text each."""
    found = json.loads((SAMPLE / "plan.geojson").read_text(encoding="utf-8"))["features"]
    kept = [
        each for each in found
        if each["properties"]["feature"] != "zone" or each["properties"]["zone_id"] in ZONES
    ]  # fmt: skip
    kept[0]["properties"]["private_note"] = UNSEEN
    sequence(path, kept)
    return kept


def choices(folder, operations):
    """Give the site the choices of the sample, with these operations."""
    text = (SAMPLE / "site" / "specification.toml").read_text(encoding="utf-8")
    named = f"operations = {json.dumps(operations)}\n"
    (folder / "specification.toml").write_text(
        named + re.sub(r"(?ms)^\[zones\..*", "", text), encoding="utf-8"
    )


def content(folder):
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}


def used(place, told):
    """Read a plan, work out a plan and hand it on, all with what meadow brings."""
    garden = place.folder / "garden"
    place("start", garden, "--title", "A *garden* #1")
    told.features = plan_file(place.folder / "plan.geojsons")
    told.read = place("read", "plan.geojsons", "--into", garden, "--json")
    (garden / "products.toml").write_bytes((SAMPLE / "site" / "products.toml").read_bytes())
    choices(garden, OPERATIONS)
    told.plan = place("plan", garden, "--json", *TODAY)
    told.why = place("plan", garden, "--why", "front-west", "--json", *TODAY)
    names = ("joblist", "map", "sheet", "loading", "chatty")
    to = [word for name in names for word in ("--to", name)]
    told.export = place("export", garden, *to, "--json", *TODAY)
    exports = garden / "exports"
    told.papers = {each.name: each.read_text("utf-8") for each in exports.iterdir()
                   if each.suffix in {".md", ".html"}}  # fmt: skip
    told.public = place(
        "export", garden, "--to", "joblist", "--audience", "public", "-o", "-", *TODAY
    )


def refused(place, told):
    """Give the reader what it is to refuse."""
    square = {"type": "Polygon", "coordinates": [[[1, 53], [1.001, 53], [1.001, 53.001], [1, 53]]]}
    one = {"type": "Feature", "properties": {"name": "Lawn"}, "geometry": square}
    layer = {"type": "FeatureCollection", "name": "beds", "features": [one, one]}
    open_ring = {**one, "geometry": {**square, "coordinates": [square["coordinates"][0][:3] * 2]}}
    told.refused = {}
    for name, texts, more in (
        ("layers", [one, layer], ()),
        ("no layer", [one, layer], ("--layer", "paths")),
        ("crs", [one], ("--crs", "EPSG:27700")),
        ("ring", [one, open_ring], ()),
        ("nothing", [one, {"type": "Feature", "geometry": None}], ()),
    ):
        sequence(place.folder / "bad.geojsons", texts)
        told.refused[name] = place("read", "bad.geojsons", "--as", "zone", *more, code=REFUSED)
    (place.folder / "bad.geojsons").write_bytes(b'\x1e{"type": "Fea')
    told.refused["cut off"] = place("read", "bad.geojsons", code=REFUSED)
    sequence(place.folder / "beds.geojsons", [one, layer])
    told.layer = place("read", "beds.geojsons", "--layer", "beds", "--as", "zone", "--json")


def pricked(place, told):
    """Run what goes wrong, and what goes right beside it."""
    garden, thorns = place.folder / "garden", place.folder / "thorns"
    place("start", thorns, "--title", "Thorns")
    (thorns / "products.toml").write_bytes((garden / "products.toml").read_bytes())
    (thorns / "site.geojson").write_bytes((garden / "site.geojson").read_bytes())
    told.prickly, told.before = {}, content(garden)
    (place.folder / "x.thistle").write_text("x", encoding="utf-8")
    told.prickly["read"] = place("read", "x.thistle", "--into", garden, code=REFUSED)
    told.prickly["render"] = place("export", garden, "--to", "thistle", *TODAY, code=REFUSED)
    for name in ("thistle", "withered"):
        choices(thorns, ["mowing", name])
        told.prickly[f"steps {name}"] = place("plan", thorns, *TODAY, code=REFUSED)
        told.prickly[f"command {name}"] = place(name, code=REFUSED)
    told.after = content(garden)
    told.help = subprocess.run(
        [place.bin / "lawnmap", "--help"], capture_output=True, text=True, check=False,
        timeout=30, env={**clean(), "THISTLE_SLEEPS": "1"},
    )  # fmt: skip


def doubled(place, told):
    """Ask for names that two packages offer, and for others."""
    place.install("twin")
    garden = place.folder / "garden"
    told.doubled = {
        "geojson": place("read", SAMPLE / "plan.geojson", code=REFUSED),
        "brushing": place("plan", garden, *TODAY, code=REFUSED),
        "csv": place("export", garden, "--to", "csv", *TODAY, code=REFUSED),
    }
    told.beside = place("read", SAMPLE / "plan.csv", "--crs", "OGC:CRS84", "--dry-run", "--json")
    told.measured = place("measure", garden, "--json")
    told.listed_twice = place("plugins", "--json")


def gone(place, told):
    """Take all packages out again, and ask for what they brought."""
    place.uninstall("lawnmap-meadow", "lawnmap-thistle", "lawnmap-twin")
    garden = place.folder / "garden"
    told.gone = {
        "reader": place("read", "plan.geojsons", code=REFUSED),
        "treatment": place("plan", garden, "--json", *TODAY, code=REFUSED),
        "export": place("export", garden, "--to", "joblist", *TODAY, code=REFUSED),
    }
    told.at_last = content(garden)
    choices(garden, [each for each in OPERATIONS if each != "brushing"])
    told.without = place("plan", garden, "--json", *TODAY)
    told.listed_last = place("plugins", "--json")


@pytest.fixture(scope="module")
def story(place):
    told = SimpleNamespace(digests=[place.digests()], listed_first=place("plugins", "--json"))
    looked = "import lawnmap, sys; print(lawnmap.__file__, sys.path)"
    told.where = subprocess.run(
        [place.bin / "python", "-P", "-c", looked],
        capture_output=True, text=True, check=True, env=clean(),
    ).stdout  # fmt: skip
    place.install("meadow", "thistle")
    told.listed = place("plugins", "--json")
    told.table = place("plugins")
    for act in (used, refused, pricked, doubled):
        act(place, told)
    told.digests.append(place.digests())
    gone(place, told)
    told.digests.append(place.digests())
    told.site = place.site
    return told


def lines(name):
    path = HERE / "meadow" / "lawnmap_meadow" / "reference" / f"{name}.csv"
    return list(csv.DictReader(path.read_text(encoding="utf-8").splitlines()))


def brought(listed):
    return {(each["group"], each["name"]): each for each in listed.result
            if each["owner"] != "lawnmap"}  # fmt: skip


def test_lawnmap_is_the_one_that_pip_installed(story):
    assert story.where.startswith(f"{story.site}/lawnmap/__init__.py")
    assert str(ROOT) not in story.where.replace(str(story.site.parents[3]), "")
    assert len(story.digests[0]) > 500


def test_the_core_is_the_same_before_during_and_after(story):
    before, during, after = story.digests
    assert before == during == after


def test_they_are_listed_with_their_owner_and_gone_afterwards(story):
    assert brought(story.listed_first) == brought(story.listed_last) == {}
    meadow = {key for key, each in brought(story.listed).items()
              if each["owner"] == "lawnmap-meadow"}  # fmt: skip
    assert meadow == {
        ("readers", "geojsons"), ("treatments", "brushing"), ("exports", "joblist")
    }  # fmt: skip
    assert re.search(
        r"^treatments +brushing +Brushing +lawnmap-meadow$", story.table.out, re.MULTILINE
    )


def test_the_plan_is_read_by_the_outside_reader(story):
    kinds = [each["properties"]["feature"] for each in story.features]
    changes = story.read.result["changes"]
    assert len(changes) == len(kinds) == 3 + sum(kind != "zone" for kind in kinds)
    assert {each["what"] for each in changes} == {"added"}


def test_a_layer_is_a_layer(story):
    assert len(story.layer.result["changes"]) == 2
    assert "features, beds" in story.refused["layers"].err
    assert "no layer 'paths'. Nothing was changed. There are: features, beds." in (
        story.refused["no layer"].err
    )


@pytest.mark.parametrize(
    ("which", "where", "problem"),
    [
        ("crs", "bad.geojsons: ", "is in longitude and latitude, as RFC 8142 says"),
        ("ring", 'text 2 "Lawn", ring 1: ', "the ring does not end where it begins"),
        ("nothing", "text 2: ", "is no feature with a geometry"),
        ("cut off", "text 1: ", "is no JSON, or was cut off"),
    ],
)
def test_a_refusal_names_file_and_place(story, which, where, problem):
    told = story.refused[which].err
    assert told.startswith("lawnmap: bad.geojsons: ")
    assert where + problem in told
    assert "meadow" not in told  # the file is at fault, not the reader


def test_its_rows_quantities_and_days_are_in_the_plan(story):
    plan = story.plan.result
    (rate,) = lines("values")
    steps = {each["zone_id"]: each for each in plan["steps"] if each["operation"] == "brushing"}
    zones = {each["zone_id"]: each for each in plan["zones"]}
    assert set(steps) == {"front-west", "front-east"}  # the third is not for grass
    for zone_id, step in steps.items():
        area = zones[zone_id]["ground_area_m2"]
        assert step["area_m2"] == pytest.approx(area, rel=1e-12)
        assert step["hours"] == pytest.approx(area / float(rate["low"]), rel=1e-12)
        assert step["hours_low"] == pytest.approx(area / float(rate["high"]), rel=1e-12)
        assert (step["kind"], step["status"]) == ("hand", "do")
        assert step["standing"] == tables.STANDINGS[-1]
        assert f"with a stiff brush, at {rate['low']} to {rate['high']} m²/h" in step["why"]


def test_the_wait_that_it_brings_puts_it_before_the_mowing(story):
    (wait,) = lines("intervals")
    for zone_id in ("front-west", "front-east"):
        steps = [each for each in story.plan.result["steps"] if each["zone_id"] == zone_id]
        assert [each["operation"] for each in steps][:2] == ["brushing", "mowing"]
        first, second = (dt.date.fromisoformat(each["day"]) for each in steps[:2])
        assert int(wait["usual_days"]) <= (second - first).days <= int(wait["most_days"])


def test_cautions_come_by_its_kind_and_from_itself(story):
    said = story.plan.result["cautions"]
    by_kind = [each.sentence for each in tables.cautions() if each.applies_to == "hand"]
    (own,) = (each["sentence"] for each in lines("cautions"))
    assert by_kind
    assert {*by_kind, own} <= set(said)
    assert own not in story.without.result["cautions"]


def test_every_number_of_it_is_traced_to_rule_source_and_standing(story):
    traced = [each for each in story.why.result["trace"] if "Brushing: " in each["what"]]
    found = {each["what"].rpartition(": ")[2]: each for each in traced}
    assert {"work", "area", "passes", "hours", "day"} <= set(found)
    (rule,), (rate,) = lines("rules"), lines("values")
    for name in ("work", "passes", "hours"):
        assert found[name]["rule"] == rule["id"]
        assert found[name]["standing"] == rule["standing"] == "common practice, no source"
        (value,) = found[name]["values"]
        assert (value["id"], value["standing"]) == (rate["id"], rate["standing"])
        assert value["value"] == f"{rate['low']} to {rate['high']} m²/h"
    waits = [value for each in story.why.result["trace"] for value in each["values"]
             if value["id"] == "brushing to mowing"]  # fmt: skip
    assert waits
    assert waits[0]["value"] == f"{lines('intervals')[0]['usual_days']} d"


def test_papers_show_the_outside_work_as_their_own(story):
    (caution,) = (each["sentence"] for each in lines("cautions"))
    for name in ("map.html", "sheet.html"):
        assert "Brushing" in story.papers[name]
        assert "against the lie of the grass" in story.papers[name]
    assert caution in story.papers["sheet.html"]
    assert lines("kit")[0]["item"] in story.papers["loading.html"]


def test_the_outside_export_is_for_its_audience(story):
    crew, public = story.papers["joblist.md"], story.public.out
    assert crew.startswith("# A \\*garden\\* \\#1\n")
    assert crew.count("brushing, ") == public.count("brushing, ") == 2
    assert "at most" in crew
    assert "at most" not in public  # hours are for the crew
    assert UNSEEN not in crew + public
    days = [each["day"] for each in story.plan.result["steps"] if each["operation"] == "brushing"]
    assert all(f"## {day}\n" in crew for day in days)


@pytest.mark.parametrize(
    ("call", "told"),
    [
        ("read", "x.thistle: the reader 'thistle' from lawnmap-thistle will not read (KeyError"),
        ("render", "the export 'thistle' from lawnmap-thistle will not render (SystemExit"),
        (
            "steps thistle",
            "the treatment 'thistle' from lawnmap-thistle will not work out its steps "
            "(ZeroDivisionError: no hour in a day)",
        ),
        (
            "steps withered",
            "specification.toml: operations: the treatment 'withered' from lawnmap-thistle will "
            "not load (ModuleNotFoundError: No module named 'a_module_that_nobody_has')",
        ),
        ("command thistle", "the command 'thistle' from lawnmap-thistle will not go on (KeyError"),
        ("command withered", "the command 'withered' from lawnmap-thistle will not load"),
    ],
)
def test_what_goes_wrong_is_told_by_its_owner(story, call, told):
    said = story.prickly[call].err
    assert said.startswith(f"lawnmap: {told}")
    assert said.count("\n") == 1
    assert "fault in lawnmap" not in said
    assert "Mend or uninstall lawnmap-thistle; everything else goes on working." in said


def test_the_broken_ones_are_listed_with_what_is_wrong(story):
    found = brought(story.listed)
    for group in ("readers", "treatments", "exports", "commands"):
        assert "lawnmap-thistle will not load" in found[group, "withered"]["problem"]
        assert "problem" not in found[group, "thistle"]
    assert "a_module_that_nobody_has" in story.table.out


def test_the_site_is_kept_as_it_is(story):
    assert story.before == story.after == story.at_last


def test_what_a_plugin_prints_does_not_spoil_json(story):
    assert "chatty" in {each["export"] for each in story.export.result}
    assert story.export.err.count("chatty: ") == 2


def test_help_waits_for_no_import_and_names_the_owner(story):
    assert story.help.returncode == 0, story.help.stderr
    for name in ("thistle", "withered"):
        assert re.search(
            rf"^  {name} +Brought by lawnmap-thistle\.$", story.help.stdout, re.MULTILINE
        )
    assert not story.help.stderr


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("geojson", "the reader 'geojson' is offered by lawnmap and lawnmap-twin"),
        ("brushing", "the treatment 'brushing' is offered by lawnmap-meadow and lawnmap-twin"),
        ("csv", "the export 'csv' is offered by lawnmap and lawnmap-twin"),
    ],
)
def test_a_name_that_two_offer_is_refused_when_it_is_asked_for(story, name, told):
    assert f"{told}. Nothing was changed. Uninstall all but one." in story.doubled[name].err
    assert {each["owner"] for each in story.listed_twice.result if each["name"] == name
            and "problem" in each} == set(re.findall(r"lawnmap[\w-]*", told))  # fmt: skip


def test_other_names_go_on_working_beside_it(story):
    assert story.beside.result["changes"]
    assert len(story.measured.result) == len(ZONES)


def test_what_is_gone_is_told_with_what_to_do(story):
    assert "is of a kind that is not read (geojsons)" in story.gone["reader"].err
    assert "there is no export called 'joblist'" in story.gone["export"].err
    error = json.loads(story.gone["treatment"].out)["error"]
    assert (error["file"], error["place"]) == ("specification.toml", "operations")
    assert error["problem"] == "there is no treatment called 'brushing'"
    assert "Install the package that brings it, or take it out there." in error["remedy"]


def test_without_it_the_plan_is_worked_out_again(story):
    operations = {each["operation"] for each in story.without.result["steps"]}
    assert "brushing" not in operations
    assert "mowing" in operations
