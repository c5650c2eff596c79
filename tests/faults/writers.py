"""Every writer of lawnmap as one row: what is there before, the work, and what may be there after.

Each work goes through the one disk of the package, so that a test can put another in its place:
see :func:`on`.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import io
import json
import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from unittest import mock

import pandas as pd

from lawnmap.errors import LONGEST_MESSAGE, InputRefused, LawnmapError, WriteFailed
from lawnmap.files.disk import DISK
from lawnmap.jobs import register, sun_points
from lawnmap.jobs import survey as surveying
from lawnmap.jobs.assess import assess
from lawnmap.jobs.desktop import put as desktop
from lawnmap.jobs.desktop.profiles import Profile
from lawnmap.jobs.export import Rendered
from lawnmap.jobs.export import write as export
from lawnmap.jobs.mark import Marking
from lawnmap.jobs.record import Recorded
from lawnmap.jobs.record import saved as recorded
from lawnmap.jobs.reply import read_reply
from lawnmap.jobs.sites import written
from lawnmap.jobs.sites.engine import partitions
from lawnmap.jobs.sites.kept import Kept as Parts
from lawnmap.jobs.sites.table import marked, results
from lawnmap.jobs.start import start
from lawnmap.store import backups, calibrations, issued, photos, record, recovery, sunlight
from lawnmap.store import draft as drafts
from lawnmap.store import replies as reply_store
from lawnmap.store import site as sites
from lawnmap.store.folder import Folder
from tests.replies import reply
from tests.store.sites import made, zone
from tests.store.test_sunlight import light

DAY = dt.date(2027, 3, 1)
ROW = {"record_id": "work.1", "zone_id": "a1", "operation": "mowing", "date": "2027-03-01"}
CALIBRATION = {"date": "2027-03-01", "applicator": "Knapsack", "water_l_m2": "0.04"}
PART = {"site": {"title": "Garden"}, "steps": {}, "work": {}, "visits": [], "out": [],
        "crew": "", "region": "", "currency": ""}  # fmt: skip
ROWS = pd.DataFrame({"site_id": ["a", "b"], "zones": [1.0, 2.0]})
OLD, NEW = b"old " * 300, b"new " * 400
READING = {"stat", "listdir", "resolve", "read_regular", "access"}
LEFT = (".tmp", ".waiting")  # how what a killed writer leaves is called
OURS = {".lawnmap", ".parts"}  # folders whose locks, backups and journals are no results


def _nothing(root: Path) -> None:
    root.mkdir()


@dataclass(frozen=True)
class Writer:
    """A way in which lawnmap writes.

    Attributes
    ----------
    name : str
    work : callable
        Takes the folder, writes, and raises what the product raises.
    make : callable
        Makes what is there before.
    whole : bool
        Whether all files change together; else each is old or new by itself.
    told : bool
        Whether a failure is an error; else what is written can be made again, and a warning or
        nothing is told.
    again : bool
        Whether what was there may be gone meanwhile, since it is worked out again.
    lasting : bool
        Whether what was told as done must be there after a power cut.
    """

    name: str
    work: Callable[[Path], object]
    make: Callable[[Path], None] = _nothing
    whole: bool = True
    told: bool = True
    again: bool = False
    lasting: bool = False

    def __str__(self) -> str:
        """Return the name, for the ids of tests."""
        return self.name


@contextlib.contextmanager
def on(disk):
    """Let the package write on another disk."""
    DISK.do = disk.do
    try:
        yield disk
    finally:
        del DISK.do


def state(root: Path) -> dict[str, bytes]:
    """Return what anybody else would find: the files under their names, sites opened as usual."""
    for path in sorted(root.rglob("site.geojson")):
        sites.load(Folder(path.parent))
    return {
        path.relative_to(root).as_posix(): path.read_bytes()
        for path in sorted(root.rglob("*"))
        if path.is_file() and not _passing(path.relative_to(root))
    }


def _passing(path: Path) -> bool:
    """Tell whether a file is no result: a lock, a backup, or what a writer left."""
    drafts_and_sun = path.name.startswith("draft") and path.suffix == ".json"
    kept = drafts_and_sun or "cache" in path.parts or path.parent.name in {".parts", "laid"}
    lock = path.suffix == ".lock" or path.name == "lock"
    return lock or any(map(left_over, (path, *path.parents))) or bool(
        OURS & set(path.parts[:-1]) and not kept
    )  # fmt: skip


def left_over(path: Path) -> bool:
    """Tell whether a path is called as what a killed writer leaves is."""
    return path.name.startswith(".") and path.name.endswith(LEFT)


def left(root: Path) -> list[str]:
    """Return what killed writers left, the outermost only."""
    found = [path for path in sorted(root.rglob(".*")) if left_over(path)]
    return [
        path.relative_to(root).as_posix()
        for path in found
        if not any(map(left_over, path.relative_to(root).parents))
    ]


# Sites -------------------------------------------------------------------------------------------


def garden(root: Path) -> Folder:
    """Return the site in a root."""
    return Folder(root / "garden")


def _garden(root: Path) -> None:
    """Make a site that was saved before."""
    root.mkdir()
    folder, site = made(root / "garden", site_id="0" * 16)
    folder.record.write_bytes(record.with_rows(record.Record(record.COLUMNS, ()), []))
    sites.save(folder, site.with_header(title="Invented lawn"), today=DAY)


def _torn(root: Path) -> None:
    _garden(root)
    with garden(root).record.open("ab") as stream:
        stream.write(b"work.0,,")


def _record(root: Path) -> None:
    folder = garden(root)
    recorded(folder, sites.load(folder), record.read(folder), Recorded(ROW))


def _assess(root: Path) -> None:
    assess(garden(root).path, {"a1": {"moss_rating": 3}})


def _files_together(root: Path) -> None:
    """Save as reading a picture and heights into a site does, and placing it."""
    folder = garden(root)
    also = {"backdrop/plan.webp": NEW, "backdrop/plan.json": b"{}\n"}
    sites.save(folder, sites.load(folder), also=also, today=DAY)


def _reply_to(root: Path) -> None:
    """Make a site and a reply that changes it."""
    _garden(root)
    home = {"id": "0" * 16, "title": "Invented lawn", "revision": 2}
    rated = {"zone_id": "a1", "base": {"moss_rating": None}, "now": {"moss_rating": 3}}
    work = {"id": "w1", "zone_id": "a1", "operation": "mowing", "application": "", "unit": "",
            "date": "2027-02-20", "amount": None, "note": ""}  # fmt: skip
    (root / "reply.json").write_bytes(reply(site=home, zones=[rated], work=[work]))


def _read_reply(root: Path) -> None:
    from lawnmap.files.admit import admit

    read_reply(admit(root / "reply.json"), garden(root).path, today=DAY)


def _keep_reply(root: Path) -> tuple[str, ...]:
    return reply_store.keep(garden(root), reply_store.opened(reply(), name="reply.json"))


def _closed_survey(root: Path) -> None:
    surveying.survey(garden(root).path, day=DAY)


def _rated(root: Path) -> None:
    _garden(root)
    _assess(root)


def _photo(root: Path) -> None:
    """Keep a photo and save the feature that names it, as the marking page does."""
    folder = garden(root)
    name = photos.keep(folder, picture())
    site = sites.load(folder)
    sites.save(folder, site.with_features([zone("a1", photo=name)]), today=DAY)


def picture() -> bytes:
    """Return a small picture."""
    from PIL import Image

    stream = io.BytesIO()
    Image.new("RGB", (8, 8), "green").save(stream, "WEBP")
    return stream.getvalue()


CHANGE = {"zone:a1": {**zone("a1", moss_rating=4), "id": "zone:a1"}}


def _draft(root: Path) -> None:
    with drafts.held(garden(root)) as draft:
        draft.keep(drafts.Kept(2, {"a": zone("a1")}, "2027-03-01T10:00:00Z"))


def _drafted(root: Path) -> None:
    _garden(root)
    _draft(root)


def _forget_draft(root: Path) -> None:
    with drafts.held(garden(root)) as draft:
        draft.forget()


def _mark(root: Path) -> None:
    """Save on the marking page: the site, then the draft is let go."""
    with drafts.held(garden(root)) as draft:
        hold = Marking(garden(root), draft)
        shown = hold.show()
        (key,) = shown.features
        changed = {**shown.features[key]}
        changed["properties"] = {**changed["properties"], "moss_rating": 4}
        hold.save(shown.site.revision, {key: changed}, {})


def _issue(root: Path) -> None:
    issued.issue(garden(root), day=DAY, inputs={"a": 1}, plan=[], to={"name": "Pat"},
                 files={"map.html": NEW, "sheet.html": OLD})  # fmt: skip


def _damaged(root: Path) -> None:
    _garden(root)
    garden(root).site.write_bytes(b"{")


def _restore(root: Path) -> None:
    recovery.restore(garden(root), backups.listed(garden(root))[0], today=DAY)


def _foreign(root: Path) -> None:
    """Make a site that another program has saved."""
    _garden(root)
    path = garden(root).site
    value = json.loads(path.read_bytes())
    del value["lawnmap"]
    path.write_text(json.dumps(value), encoding="utf-8")


def _adopt(root: Path) -> None:
    recovery.adopt(garden(root))


def _start(root: Path, *, sample: bool = False) -> None:
    with mock.patch("secrets.token_hex", return_value="0" * 16):
        start(root / "garden", title="Invented", sample=sample)


def _start_sample(root: Path) -> None:
    _start(root, sample=True)


def _sun(root: Path) -> None:
    told = sunlight.keep(garden(root), "1" * 12, light())
    if told:
        raise WriteFailed(told[0], remedy="It is only told.")


def _sunny(root: Path) -> None:
    _garden(root)
    sunlight.keep(garden(root), "0" * 12, light(facts={"trees": "0"}))


# Beside sites ------------------------------------------------------------------------------------


def _calibrated(root: Path) -> None:
    root.mkdir()
    calibrations.append(root, {**CALIBRATION, "date": "2027-02-01"})


def _calibrate(root: Path) -> None:
    calibrations.append(root, CALIBRATION)


def rendered(to: str, data: bytes = NEW) -> Rendered:
    """Return one export that is not written yet."""
    return Rendered(to, f"{to}.html", to.title(), "client", data)


def _exported(root: Path) -> None:
    _garden(root)
    for name in ("map", "sheet"):
        export(rendered(name, OLD), garden(root), None, force=False)


def _export(root: Path) -> tuple[str, ...]:
    return export(rendered("map"), garden(root), None, force=False)[1]


def _exports(root: Path) -> None:
    for name in ("map", "sheet", "summary"):
        export(rendered(name), garden(root), None, force=False)


def _named(root: Path) -> None:
    root.mkdir()
    (root / "mine.html").write_bytes(OLD)


def _export_named(root: Path) -> tuple[str, ...]:
    return export(rendered("map"), None, root / "mine.html", force=True)[1]


def _register(root: Path) -> tuple[str, ...]:
    return register.write(NEW, root / "register.csv", force=False)


def _sun_points(root: Path) -> tuple[str, ...]:
    return sun_points.write(light(), made_site(), root / "points.csv", force=False)


def made_site():
    """Return a site of one zone that is on no disk."""
    from tests.store.sites import site

    return site()


# Many sites --------------------------------------------------------------------------------------


def _out(root: Path) -> None:
    """Make a folder of results as an earlier run left it."""
    root.mkdir()
    Parts(root).folder.mkdir(parents=True, exist_ok=True)
    _parts(root, title="Before")
    _results(root, count=3)
    (root / "day_load.html").write_bytes(OLD)  # of a run that had days


def _parts(root: Path, title: str = "After") -> None:
    kept = Parts(root)
    for name in ("a", "b"):
        kept.write(name, "d", {**PART, "site": {"title": title}})
    kept.forget(but=["a", "b"])


def _results(root: Path, count: int = 5) -> None:
    """Write what many sites come to; how it is drawn and worded is not looked at here."""
    data = f"{count} sites\n".encode() * 50
    with (
        mock.patch.object(written, "papers", return_value={"map.html": data}),
        mock.patch.object(written, "encoded", return_value=data),
    ):
        written.written(dict.fromkeys(written.FILES), root)


def _skipped(root: Path) -> None:
    results.listed([], root)


def _skipped_before(root: Path) -> None:
    root.mkdir()
    (root / results.SKIPPED).write_bytes(OLD)


def _laid(root: Path) -> None:
    root.mkdir()
    room = marked.laid(root)
    room.emptied()
    _zones_of(room.folder, 1)
    room.mark("before", {})


def _zones_of(folder: Path, number: int) -> None:
    partitions.write(folder, "sites", number, ROWS)


def _lay(root: Path) -> None:
    """Empty the room of partitions, put others in, and mark it: as a run over a table does."""
    room = marked.laid(root)
    partitions.swept(room.folder)
    room.emptied()
    _zones_of(room.folder, 0)
    room.mark("after", {})


# The desktop GIS ----------------------------------------------------------------------------------

PLUGIN = {"__init__.py": b"", "steps/plan.py": OLD}


def _profile(root: Path) -> Profile:
    return Profile(root / "profile")


def _profile_made(root: Path) -> None:
    settings = _profile(root).settings
    settings.parent.mkdir(parents=True)
    settings.write_bytes(b"[qgis]\na=1\n")


def _desktop_install(root: Path) -> None:
    desktop.install(_profile(root), files={**PLUGIN, "steps/plan.py": NEW, "new.py": NEW})


def _desktop_older(root: Path) -> None:
    _profile_made(root)
    desktop.install(_profile(root), files={**PLUGIN, "older.py": OLD})


def _desktop_remove(root: Path) -> None:
    desktop.remove(_profile(root))


WRITERS = (
    Writer("start", _start, whole=False, lasting=True),
    Writer("start --sample", _start_sample, whole=False),
    Writer("assess", _assess, _garden, lasting=True),
    Writer("record", _record, _garden, lasting=True),
    Writer("record, a torn line before", _record, _torn, lasting=True),
    Writer("read: files that change together", _files_together, _garden, lasting=True),
    Writer("read: a reply", _read_reply, _reply_to, lasting=True),
    Writer("read: a reply that changes nothing", _keep_reply, _garden, lasting=True),
    Writer("survey", _closed_survey, _rated, lasting=True),
    Writer("mark: a photo", _photo, _garden, whole=False, lasting=True),
    Writer("mark: a draft", _draft, _garden),
    Writer("mark: a draft let go", _forget_draft, _drafted),
    Writer("mark: a save", _mark, _garden, whole=False, lasting=True),
    Writer("issue", _issue, _garden, lasting=True),
    Writer("check --restore", _restore, _damaged, whole=False, lasting=True),
    Writer("check --adopt", _adopt, _foreign, whole=False, lasting=True),
    Writer("calibrate", _calibrate, _calibrated, lasting=True),
    Writer("sun: the cache", _sun, _sunny, whole=False, told=False),
    Writer("sun -o", _sun_points),
    Writer("export", _export, _exported),
    Writer("export: a first one", _export, _garden),
    Writer("export: several", _exports, _exported, whole=False),
    Writer("export -o --force", _export_named, _named),
    Writer("record --register", _register),
    Writer("desktop install", _desktop_install, _profile_made, whole=False),
    Writer("desktop install, an older one before", _desktop_install, _desktop_older, whole=False),
    Writer("desktop remove", _desktop_remove, _desktop_older, whole=False),
    Writer("sites: parts", _parts, _out, whole=False),
    Writer("sites: tables and papers", _results, _out, whole=False),
    Writer("sites: nothing left out", _skipped, _skipped_before),
    Writer("sites: partitions", _lay, _laid, whole=False, again=True),
)
BY_NAME = {each.name: each for each in WRITERS}


class Template:
    """What is there before a work, made once and copied."""

    def __init__(self, writer: Writer, place: Path) -> None:
        self.writer, self.place = writer, place
        writer.make(place / "old")
        self.old = self.found(place / "old")
        new = self.copy("new")
        writer.work(new)
        self.new = self.found(new)

    def copy(self, name: str) -> Path:
        """Return a copy of what was there before."""
        return Path(shutil.copytree(self.place / "old", self.place / name, symlinks=True))

    def found(self, root: Path) -> dict[str, bytes]:
        """Return the state; of a site that cannot be opened, as it is before it is mended."""
        if self.writer.make in {_damaged, _foreign}:
            return {path.name: path.read_bytes() for path in sorted((root / "garden").iterdir())
                    if path.is_file() and not left_over(path)}  # fmt: skip
        return state(root)

    def torn(self, found: dict[str, bytes]) -> list[str]:
        """Return the files that are neither old nor new, or that should not be there."""
        if self.writer.whole:
            return [] if found in (self.old, self.new) else sorted(found)
        names = {*self.old, *self.new, *found}
        return sorted(
            name
            for name in names
            if found.get(name) not in (self.old.get(name), self.new.get(name))
            and not (self.writer.again and name not in found)
            and not name.endswith("/installed.json")  # which holds old and new under way
        )


def wrong(error: LawnmapError | None, calls: set[str]) -> str:
    """Return what is wrong with the error that failing calls led to; nothing when it is as said.

    What cannot be written is told with exit code 5; what cannot be read, before anything was
    written, may be told as an input.
    """
    if error is None:
        return ""
    reading = calls & READING and isinstance(error, InputRefused)
    if not (reading or isinstance(error, WriteFailed)):
        return f"{type(error).__name__}: {error}"
    text = str(error)
    right = len(text) <= LONGEST_MESSAGE and "\n" not in text and "/" not in _plain(text)
    return "" if right and error.remedy else text


def _plain(text: str) -> str:
    """Return a message without the few words in which there is a stroke, none of them a folder."""
    for words in (".lawnmap/journal", "Input/output error", "surveys/", "replies/", "photos/"):
        text = text.replace(words, "")
    return text
