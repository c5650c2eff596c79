"""Names, layers and reference systems as inputs: each listed name is refused, nobody is asked.

Row 8 of docs/reliability.
"""

import os

import pytest
import shapely

from lawnmap.errors import LawnmapError, printable
from lawnmap.files.admit import Source, admit
from lawnmap.jobs.read import read
from lawnmap.jobs.reading import Reading
from tests.hostile import bait as baits
from tests.hostile import named, runs
from tests.hostile.case import Case
from tests.hostile.texts import GOOD_KML
from tests.readers.mutants import LONG, SEED

MUTANTS = 2_000
OTHERS = 2_000 if LONG else 300
SYSTEM_MUTANTS = 2_000 if LONG else 30  # PROJ searches its names for a fifth of a second each
SYSTEMS = (
    "EPSG:27700",
    "epsg:4326",
    "OGC:CRS84",
    "ESRI:102100",
    "IGNF:LAMB93",
    "urn:ogc:def:crs:EPSG::27700",
    "http://www.opengis.net/def/crs/EPSG/0/27700",
    "+proj=tmerc +lat_0=49 +nadgrids=@SECRET@",
    "+init=epsg:4326",
    "+proj=pipeline +step +proj=hgridshift +grids=@URL@",
    "@URL@",
    "@SECRET@",
    "EPSG:999999",
    "EPSG:-1",
    "EPSG:1e9",
    "27700",
    "WGS 84",
    'GEOGCS["WGS 84",DATUM["a"',
    "PROJCS[" * 500,
    '{"$schema": "@URL@", "type": "ProjectedCRS"}',
    "local",
    "picture:a",
    "LOCAL",
    "EPSG:4978",
    "EPSG:5773",
    "EPSG:27700+5701",
    "BOUNDCRS[SOURCECRS[]]",
    "",
    " ",
    "\0",
    "EPSG:27700\0",
    'GEOGCRS["a",DATUM["b",ELLIPSOID["c",0,0]],CS[ellipsoidal,2]]',
    'PROJCS["a",GEOGCS["b",DATUM["c",SPHEROID["d",6378137,298]],PRIMEM["e",0],'
    'UNIT["f",0.017]],PROJECTION["Transverse_Mercator"],EXTENSION["PROJ4","+nadgrids=@URL@"]]',
)
PLAN = b'wkt\n"POLYGON((430000 433000,430020 433000,430020 433030,430000 433000))"\n'


@pytest.fixture(scope="module")
def runner(tmp_path_factory):
    """Return one runner for all names."""
    with runs.runner(tmp_path_factory.mktemp("names")) as made:
        yield made


@pytest.fixture
def bait(tmp_path, monkeypatch):
    """Lay the baits and work in an empty folder."""
    (tmp_path / "empty").mkdir()
    monkeypatch.chdir(tmp_path / "empty")
    with baits.laid(tmp_path) as laid:
        yield laid


def filled(bait, text):
    data = bait.filled(text.encode("utf-8", "surrogatepass"))
    return data.decode("utf-8", "surrogatepass")


def untouched(bait):
    return not baits.heard(bait) and not bait.trap.exists()


def answered(act):
    """Return whether something was read; anything but a refusal is raised."""
    try:
        act()
    except LawnmapError as error:
        message = str(error)
        assert message == printable(message)
        assert baits.MARK not in message
        assert error.remedy  # noqa: PT017 - reading it is as good
        return False
    return True


DOORS = (
    ("measure", "@"),
    ("plan", "@"),
    ("export", "@", "--to", "csv"),
    ("check", "@"),
    ("survey", "@"),
    ("record", "@", "--list"),
    ("plan", "site", "--depot", "@"),
    ("place", "site", "--sheet", "@"),
    ("assess", "site", "--sheet", "@"),
    ("read", "in/plan.kml", "--into", "@"),
    ("read", "in/plan.kml", "--control", "@"),
    ("read", "@", "--layers"),
)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="no fork here")
def test_every_command_refuses_an_odd_name(runner, figure):
    """Found by this: four commands met a name that is too long for the system with a fault."""
    wrong, count = {}, 0
    for name in (*named.LONG.values(), "@URL@", "/dev/zero"):
        for words in DOORS:
            folder = runner.scratch(Case("doors", {"plan.kml": GOOD_KML}))
            before = runs.content(folder)
            outcome = runner.run([name if each == "@" else each for each in words], folder)
            faults = [] if outcome.code == 3 else [f"exit {outcome.code}: {outcome.said}"]
            faults += [] if len(outcome.said.splitlines()) == 1 else [outcome.said]
            faults += runner.baited(outcome, folder) + runs.changes(before, runs.content(folder))
            count += 1
            if faults:
                wrong[name[:20], words] = faults
    assert wrong == {}
    figure(8, f"Odd names by {len(DOORS)} doors: {count - len(wrong)} of {count} refused")


@pytest.mark.skipif(not hasattr(os, "fork"), reason="no fork here")
def test_every_name_of_the_list_is_refused(runner, figure):
    wrong, knocks = {}, 0
    names = named.names()
    folder = runner.scratch(Case("names"))
    before = runs.content(folder)
    for name in names:
        outcome = runner.run(("read", name, "--into", "site"), folder)
        knocks += len(runner.bait.hits)
        faults = [] if outcome.code in {2, 3} else [f"exit {outcome.code}: {outcome.said}"]
        faults += [] if len(outcome.said.splitlines()) <= 4 else [outcome.said]
        faults += [] if outcome.said.replace("\n", "").isprintable() else ["control characters"]
        faults += runner.baited(outcome, folder) + runs.changes(before, runs.content(folder))
        if faults:
            wrong[name] = faults
    knocks += baits.heard(runner.bait)
    assert wrong == {}
    assert knocks == 0
    figure(8, f"names.txt: {len(names) - len(wrong)} of {len(names)} refused, {knocks} hits")


def test_mutated_names_are_refused(bait, figure):
    read_too = [
        name
        for name in named.mutants(MUTANTS, SEED)
        if answered(lambda name=name: read(filled(bait, name)))
    ]
    assert read_too == []
    assert untouched(bait)
    figure(
        8, f"{MUTANTS:,} mutated names: {MUTANTS - len(read_too):,} refused, {len(bait.hits)} hits"
    )


def test_any_crs_is_known_or_refused(bait, figure):
    source = Source("plan.csv", PLAN, "csv")
    texts = [*SYSTEMS, *named.mutants(SYSTEM_MUTANTS, SEED, of=SYSTEMS)]
    count = 0
    for text in texts:
        found = []
        reading = Reading(crs=filled(bait, text), kind="zone")
        if answered(lambda r=reading, f=found: f.append(read(source, r))):
            shapes = found[0].site.zones.geometry.to_numpy()
            assert shapely.is_valid(shapes).all()
            count += 1
    assert 5 < count < len(texts)
    assert untouched(bait)
    figure(8, f"--crs: {len(texts):,} texts, {count} of them a CRS, {len(bait.hits)} hits")


@pytest.mark.parametrize(
    ("option", "field"), [("--layer", "layers"), ("--units", "units"), ("--as", "kind")]
)
def test_any_layer_unit_and_kind_is_known_or_refused(bait, option, field, figure):
    source = Source("plan.kml", GOOD_KML, "kml")
    texts = [filled(bait, text) for text in named.mutants(OTHERS, f"{SEED} {option}")]
    counts = sum(
        answered(
            lambda text=text: read(
                source, Reading(**{field: (text,) if field == "layers" else text})
            )
        )
        for text in texts
    )
    assert counts <= (field == "layers")  # an asterisk stands for every layer
    assert untouched(bait)
    figure(8, f"{option}: {len(texts):,} mutated names, {counts} taken, {len(bait.hits)} hits")


def test_a_name_that_the_system_cannot_write_is_refused():
    """Found by mutants: half a surrogate pair raised UnicodeEncodeError."""
    with pytest.raises(LawnmapError, match=r"plan\\ud800"):
        admit("plan\ud800.geojson")


def test_mutants_are_the_same_each_time():
    assert named.mutants(50, SEED) == named.mutants(50, SEED)
    assert len(set(named.mutants(500, SEED))) > 400
