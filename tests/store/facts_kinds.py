"""Every file that lawnmap keeps or is given beside site plans: how it is used, what may be said.

Each kind is used as a command does. What is taken must read back equal once it was written again,
and hold only numbers that can be; what is refused leaves every file as it was.
"""

import base64
import dataclasses
import hashlib
import json
import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import numpy as np

from lawnmap.errors import InputRefused, SiteDamaged
from lawnmap.files import json_text
from lawnmap.files.admit import admit
from lawnmap.jobs import check, control, said
from lawnmap.jobs.applied import applied
from lawnmap.jobs.assess import assess, from_sheet
from lawnmap.jobs.calendar import calendar
from lawnmap.jobs.compare import compare
from lawnmap.jobs.earlier import before
from lawnmap.jobs.mark import Marking
from lawnmap.jobs.measure import measure
from lawnmap.jobs.opening import Opened
from lawnmap.jobs.record import next_id
from lawnmap.jobs.register import listed, register
from lawnmap.jobs.reply import read_reply
from lawnmap.jobs.sites.kept import Kept
from lawnmap.jobs.sites.table.marked import Room
from lawnmap.store import (
    backdrop,
    backups,
    calibrations,
    closed,
    depot,
    document,
    draft,
    heights,
    issued,
    journal,
    record,
    specification,
    sunlight,
    surface,
    surveys,
    weather,
)
from lawnmap.store import site as site_store
from lawnmap.store.folder import SITE
from tests.store import facts_garden as made
from tests.store.facts_garden import TODAY

OURS = SiteDamaged  # a file that lawnmap wrote
THEIRS = InputRefused  # a file that a person typed, or brought
KEPT_ID = "garden"


@dataclass(frozen=True)
class Kind:
    """A kind of file.

    Attributes
    ----------
    path : callable
        Where it lies, of a garden.
    use : callable
        Uses it in a garden as a command does, and asserts that what was taken is sound.
    refused : tuple of type
        What may be raised; nothing for what is left out or thrown away instead.
    make : callable
        Writes the good file into a garden, where the garden has none yet.
    sealed : callable
        Makes the file of changed content, where a digest in it would give every change away.
    content : callable
        Takes the content out of the good file, likewise.
    planned : bool
        Whether the plan rests on it.
    writes : bool
        Whether using it changes the site.
    """

    path: Callable
    use: Callable
    refused: tuple = (THEIRS,)
    make: Callable = None
    sealed: Callable = None
    content: Callable = None
    planned: bool = False
    writes: bool = False

    def good(self, garden):
        """Return the good content of the file, which is made where it is not there yet."""
        if self.make:
            self.make(garden)
        data = self.path(garden).read_bytes()
        return self.content(data) if self.content else data

    def file(self, data):
        """Return the file of some content."""
        return self.sealed(data) if self.sealed else data


def finite(value):
    """Assert that every number in plain values is one: no NaN, no infinity."""
    if dataclasses.is_dataclass(value):
        value = vars(value)
    if isinstance(value, dict):
        value = [*value.values()]
    if isinstance(value, list | tuple):
        for each in value:
            finite(each)
    elif isinstance(value, float):
        assert math.isfinite(value), value


@cache
def _opened_text(text):
    return made.site_store.Site(json.loads(text))


def opened(garden):
    """Return the site with its folder, read once for each state of its file."""
    text = garden.folder.site.read_text(encoding="utf-8")
    return Opened(_opened_text(text), garden.folder)


# The site file and what changes together with it ------------------------------------------------


def site(garden):
    there = site_store.load(garden.folder)
    again = document.encode(there.document, name=SITE)
    assert again.document == there.document
    finite(dict(there.document))
    check.check(there, _chosen(garden))
    sizes = measure(there).zones
    for name in ("outline_area_m2", "ground_area_m2", "area_sigma_m2"):
        values = sizes[name].to_numpy(dtype=float)
        known = values[~np.isnan(values)] if "sigma" in name else values
        assert np.isfinite(known).all()
        assert (known >= 0).all()


@cache
def _choices(text):
    return specification.parse(text.encode(), products={}, machines={})


def _chosen(garden):
    return _choices("")


def _bounded(points):
    known = points[np.isfinite(points).all(axis=1)]
    assert len(known)
    assert (np.abs(known) <= heights.BOUNDS).all()


def height_file(garden):
    there = site_store.load(garden.folder)
    _bounded(there.heights.points)
    again = heights.parse(heights.encode(there.heights))
    assert again.shape == there.heights.shape
    assert np.array_equal(again.points, there.heights.points, equal_nan=True)
    assert (measure(there).zones["ground_area_m2"] > 0).all()


def surface_file(garden):
    there = surface.read(garden.folder)
    again = surface.parse(surface.encode(there))
    assert np.array_equal(again.heights, there.heights, equal_nan=True)
    one, other = (dataclasses.replace(each, heights=None) for each in (again, there))
    assert one == other
    assert not np.isinf(there.heights).any()
    finite([there.first, there.column, there.row])


def record_file(garden):
    there = record.read(garden.folder)
    columns = {"columns": record.COLUMNS, "needed": ("record_id",), "most_cells": record.MOST_CELLS}
    again = record.parsed(record.with_rows(there, []).decode(), name=record.NAME, **columns)
    assert [dict(each) for each in again.rows] == [
        {**dict.fromkeys(again.columns, ""), **each} for each in there.rows
    ]
    look = opened(garden)
    listed(garden.folder, look.site, None)
    data, rows, _ = register(garden.folder, look.site, _chosen(garden), 2026)
    assert data.count(b"\n") > rows
    assert rows <= len(there.rows)
    assert next_id(there.rows).startswith("work.")
    calendar(look)


def survey_file(garden):
    there = surveys.named(garden.folder, made.SURVEY).read()
    finite(dict(there.document))
    compare(garden.folder.path, earlier=made.SURVEY)
    before(garden.folder, opened(garden).site, made.SURVEY)


# What a person types ----------------------------------------------------------------------------


def choices_file(garden):
    chosen = garden.specification(opened(garden))
    finite(dict(chosen.choices))
    finite(chosen.by_zone)


def depot_file(garden):
    chosen = garden.specification(opened(garden))
    finite([*chosen.products.values(), *chosen.machines.values()])


def calibration_file(garden):
    rows = calibrations.read(garden.depot)
    depot_file(garden)
    assert all(each.keys() >= {"date", "applicator"} for each in rows)


def closed_file(garden):
    found = closed.read(garden.folder, zone_ids=["front", "back"])
    for each in found.closed:
        assert each.first <= each.last
    for windows in found.open_only.values():
        assert all(each.first <= each.last for each in windows)


def weather_file(garden):
    found = weather.read(garden.folder)
    for name, limits in weather.RANGES.items():
        values = getattr(found, name)
        known = values[~np.isnan(values)]
        assert ((known >= limits.low) & (known <= limits.high)).all()


def sheet(garden):
    facts = from_sheet(garden.inbox / "sheet.csv")
    reply = assess(garden.folder.path, facts, sheet="sheet.csv", dry_run=True)
    again = document.encode(reply.site.document, name=SITE)
    assert again.document == reply.site.document


def control_sheet(garden):
    found = control.from_sheet(garden.inbox / "control.csv")
    assert len(found.points) >= 1
    finite(vars(found))


def table_choices(garden):
    cards = depot.read(garden.depot, machines={})
    data = (garden.inbox / "all.toml").read_bytes()
    found = specification.parse(data, **cards._asdict(), name="all.toml")
    finite(dict(found.choices))


# Replies ----------------------------------------------------------------------------------------


def visit(garden):
    """Read a reply into the site and save it; the caller puts the site back."""
    done = read_reply(admit(garden.inbox / "visit.json"), garden.folder.path, today=TODAY)
    there = site_store.load(garden.folder)
    finite(dict(there.document))
    assert there.document == done.site.document
    assert record.read(garden.folder).rows[-len(done.recorded) :] or not done.recorded
    assert done.kept
    again = read_reply(admit(garden.inbox / "visit.json"), garden.folder.path, today=TODAY)
    assert again.known
    assert not again.saved


def kept_reply(garden):
    said.said(garden.folder)
    calendar(opened(garden))


# What can be made again, or is thrown away ------------------------------------------------------

SUN = {}


def sun_cache(garden):
    """Assert that the hours are those that were kept, or there are none."""
    found = sunlight.kept(garden.folder)
    assert len(found) <= 1
    if found:
        assert sunlight.encode(found[0]) == SUN["good"]


def _with_sun(garden):
    SUN["good"] = next(garden.folder.cache.iterdir()).read_bytes()


PART = {
    "site": {"a": 1.5}, "steps": {}, "work": {}, "visits": [], "out": [], "crew": "", "region": "",
    "currency": "GBP",
}  # fmt: skip


def kept_part(garden):
    assert Kept(garden.depot).read(KEPT_ID, "digest") in (None, PART)


def _with_part(garden):
    kept = Kept(garden.depot)
    kept.folder.mkdir(parents=True, exist_ok=True)
    kept.write(KEPT_ID, "digest", PART)


NOTE = {"sites": 3, "of_site": {"a": "b"}}


def room(garden):
    assert Room(garden.depot / "room").told("d" * 12) in (None, NOTE)


def _with_room(garden):
    there = Room(garden.depot / "room")
    there.emptied()
    there.mark("d" * 12, NOTE)


def journal_file(garden):
    """Assert that a change that was cut off is finished as it was begun, or not at all."""
    folder = garden.folder
    there = site_store.load(folder)
    assert there.revision in (3, 4)
    assert not journal.pending(folder)
    rows = record.read(folder).rows
    assert (there.revision == 4) == (len(rows) == len(made.RECORD) + 1)
    if there.revision == 4:
        assert there.document == CHANGE["document"]
        assert folder.record.read_bytes() == CHANGE["record"]


CHANGE = {}


def _with_journal(garden):
    folder = garden.folder
    there = site_store.load(folder)
    new = document.encode(there.with_header(revision=4, title="New").document, name=SITE)
    rows = record.with_rows(record.read(folder), [{"record_id": "work.5", "zone_id": "front"}])
    CHANGE.update(document=new.document, record=rows)
    before_it = garden.state()
    kept = {}
    apply, remove = journal._apply, journal._remove
    try:
        journal._apply = lambda *_: ()
        journal.change(folder, 4, {SITE: new.data, record.NAME: rows})
        kept = folder.journal.read_bytes()
    finally:
        journal._apply, journal._remove = apply, remove
    garden.put_back(before_it)
    folder.journal.write_bytes(kept)


def draft_file(garden):
    hold = Marking(garden.folder, draft.Draft(garden.folder.private / "draft.json"))
    shown = hold.show()
    hold.obstacles()
    if shown.draft:
        finite(dict(shown.draft.changes))
        hold.keys()


def _with_draft(garden):
    site_now = site_store.load(garden.folder)
    ditch = made.feature("bed", made.box(7, 3, 8, 5), name="New bed")
    zone = {**site_now.document["features"][0]}
    kept = draft.Kept(3, {"new-1": ditch, "front": zone, "back": None}, "2027-03-01T10:00:00Z")
    draft.Draft(garden.folder.private / "draft.json").keep(kept)


def sidecar(garden):
    found = backdrop.stored(garden.folder)
    assert bool(found.backdrops) != bool(found.warnings)
    for each in found.backdrops.values():
        finite(dict(each.facts))
        west, south, east, north = each.bounds
        assert -180 <= west < east <= 180
        assert -90 <= south < north <= 90
        files = each.files()
        facts = json_text.loads(files[f"backdrop/{each.name}.json"], name="plan.json")
        assert {**each.facts, "format": 1, "name": each.name} == facts


def issued_file(garden):
    """Assert that an altered file is told; promises and agreements never break."""
    (plan,) = issued.listed(garden.folder)
    changed = plan.altered()
    findings = check.handed_over(garden.folder)
    assert bool(changed) == bool(findings)
    promised = calendar(opened(garden)).promised
    assert all(day.year > 0 for day in promised.values())
    said.said(garden.folder)
    issued.handed(garden.folder, inputs={}, to={})
    plan.papers()
    applied(garden.folder.path)


def backup_file(garden):
    good = backups.newest_good(garden.folder)
    assert good is not None
    document.encode(backups.read(good), name=SITE)


def _path(name):
    return lambda garden: garden.folder.path / name


def _of_plan(name):
    return lambda garden: next(garden.folder.issued.iterdir()) / name


def sealed(data):
    """Return a reply with this content, sealed anew as a stranger can."""
    text = data.decode("utf-8", "replace")
    digest = hashlib.sha256(text.encode("utf-8", "replace")).hexdigest()
    return json.dumps({"lawnmap_reply": 1, "digest": digest, "content": text}).encode()


def content(data):
    return json.loads(data)["content"].encode()


def mailed(data):
    """Return a reply as text in a mail."""
    text = base64.encodebytes(data).decode()
    return f"BEGIN LAWNMAP REPLY\n{text}END LAWNMAP REPLY\n".encode()


def _visit(garden):
    return garden.inbox / "visit.json"


def _written(name, text):
    return lambda garden: (garden.inbox / name).write_text(text, encoding="utf-8")


CONTROL = "point,x,y,lon,lat\nA,10,20,-1.5,53.8\nB,400,30,-1.4995,53.8\nC,390,280,-1.4995,53.7996\n"

KINDS = {
    "site.geojson": Kind(_path(SITE), site, (OURS, THEIRS), planned=True),
    "heights.csv": Kind(_path(heights.NAME), height_file, (OURS,), planned=True),
    "surface.json": Kind(_path(surface.NAME), surface_file, (OURS,)),
    "record.csv": Kind(_path(record.NAME), record_file, (OURS,), planned=True),
    "survey": Kind(_path(f"surveys/{made.SURVEY}.geojson"), survey_file, (OURS, THEIRS)),
    "specification.toml": Kind(_path("specification.toml"), choices_file, planned=True),
    "products.toml": Kind(lambda g: g.depot / "products.toml", depot_file, planned=True),
    "machines.toml": Kind(lambda g: g.depot / "machines.toml", depot_file, planned=True),
    "calibration.csv": Kind(
        lambda g: g.depot / "calibration.csv", calibration_file, (OURS, THEIRS), planned=True
    ),
    "closed.csv": Kind(_path("closed.csv"), closed_file, planned=True),
    "weather.csv": Kind(_path("weather.csv"), weather_file, planned=True),
    "assess sheet": Kind(lambda g: g.inbox / "sheet.csv", sheet),
    "control sheet": Kind(
        lambda g: g.inbox / "control.csv", control_sheet, make=_written("control.csv", CONTROL)
    ),
    "choices of a table": Kind(
        lambda g: g.inbox / "all.toml", table_choices,
        make=_written("all.toml", made.SPECIFICATION.partition("[zones.back]")[0]),
    ),
    "reply": Kind(_visit, visit, writes=True),
    "content of a reply": Kind(_visit, visit, writes=True, sealed=sealed, content=content),
    "kept reply": Kind(
        lambda g: next(g.folder.replies.iterdir()), kept_reply, (), sealed=sealed, content=content
    ),
    "reply in a mail": Kind(_visit, visit, writes=True, content=mailed),
    "sun cache": Kind(lambda g: next(g.folder.cache.iterdir()), sun_cache, (), make=_with_sun),
    "kept part": Kind(lambda g: Kept(g.depot)._path(KEPT_ID), kept_part, (), make=_with_part),
    "mark of a run": Kind(lambda g: g.depot / "room" / "rests_on.json", room, (), make=_with_room),
    "journal": Kind(
        lambda g: g.folder.journal, journal_file, (OURS,), make=_with_journal, writes=True
    ),
    "draft": Kind(lambda g: g.folder.private / "draft.json", draft_file, (), make=_with_draft),
    "sidecar": Kind(_path("backdrop/plan.json"), sidecar, ()),
    "plan.json": Kind(_of_plan("plan.json"), issued_file, (OURS,)),
    "inputs.json": Kind(_of_plan("inputs.json"), issued_file, ()),
    "files.json": Kind(_of_plan("files.json"), issued_file, (OURS,)),
    "to.json": Kind(_of_plan("to.json"), issued_file, ()),
    "backup": Kind(lambda g: backups.listed(g.folder)[0].path, backup_file, ()),
}  # fmt: skip
