"""The calls that each writer makes, in order: every promise about a site rests on them.

What is written goes through the one door to the disk, so that a call that fails, is cut off or is
undone by a power cut is tested as it is. A line more or less here is a change of the protocol.
"""

import contextlib
import datetime as dt
import io
import itertools
import json
import os

import pytest
from PIL import Image

from lawnmap.errors import Busy, LawnmapError
from lawnmap.files.disk import Disk
from lawnmap.files.lock import locked
from lawnmap.store import (
    backups,
    calibrations,
    draft,
    heights,
    issued,
    photos,
    record,
    recovery,
    replies,
    surface,
    surveys,
)
from lawnmap.store import site as store
from lawnmap.store.folder import Folder
from tests import power_cut
from tests.disks import Failing, Recording, Without
from tests.replies import reply
from tests.store.sites import closed, counted, made, site

DAY = dt.date(2027, 3, 31)
BACKUP = ".lawnmap/backups/r000002-2027-03-31.geojson"
ENVELOPE = replies.opened(reply(), name="r")
ROW = {"date": "2027-03-01", "applicator": "can"}


class Noting(Disk):
    """Notes every call: its name and its paths from a folder, with ``!`` when nothing was there."""

    def __init__(self, folder):
        self.top, self.names, self.calls = folder.path.resolve(), {}, []

    def do(self, call, /, *args, **kwargs):
        name = call.__name__
        things = [each for each in args if isinstance(each, os.PathLike)]
        if name == "open" and args[1] & os.O_DIRECTORY:
            name = "open_folder"
        if args and args[0] in self.names:
            things = [self.names[args[0]]]
        self.calls.append(" ".join([name, *map(self.short, things)]))
        try:
            result = super().do(call, *args, **kwargs)
        except FileNotFoundError:
            self.calls[-1] += " !"
            raise
        if call is os.open:
            self.names[result] = things[0]
        return result

    def short(self, path):
        inside = path.is_relative_to(self.top)
        return str(path.relative_to(self.top)) if inside else f"../{path.name}"


def home(name):
    return name.rpartition("/")[0] or "."


def temp(name):
    folder, _, last = name.rpartition("/")
    return f"{folder}/.{last}.tmp".lstrip("/")


def held(lock=".lawnmap/lock"):
    return [
        f"makedirs {home(lock)}", f"open {lock}", f"lock_exclusive {lock}", f"stat {lock}"
    ]  # fmt: skip


def freed(lock=".lawnmap/lock"):
    return [f"unlock {lock}"]


def swept(name):
    return [f"resolve {name}", f"unlink {temp(name)} !"]


def put(name, *, there):
    """Return the calls of one atomic write: over a file that is there, or a new one."""
    known = (
        [f"stat {name}", f"access {name}"] if there else [f"stat {name} !", f"stat {home(name)}"]
    )
    mode = [f"fchmod {temp(name)}"] if there else []
    return [
        f"resolve {name}", *known, f"open {temp(name)}", *mode, f"write {temp(name)}",
        f"fsync {temp(name)}", f"close {temp(name)}", f"replace {temp(name)} {name}",
        f"open_folder {home(name)}", f"fsync {home(name)}",
    ]  # fmt: skip


def made_folder(name):
    return [f"makedirs {name}", "open_folder .", "fsync ."]


def begun(*first):
    """Return the calls of a save up to where the site on disk is known to be the one loaded."""
    return [
        *held(), *first, *swept("site.geojson"), *swept(".lawnmap/journal"),
        "stat .lawnmap/journal !", "stat site.geojson", "read_regular site.geojson",
    ]  # fmt: skip


def linked(name=BACKUP):
    return [
        f"makedirs {home(name)}", *swept(name), f"unlink {name} !", "resolve site.geojson",
        f"link site.geojson {name}",
    ]  # fmt: skip


LOADED = [
    "stat .lawnmap/journal !", "stat site.geojson", "stat site.geojson",
    "read_regular site.geojson", "stat heights.csv !", "stat surface.json !", "stat site.geojson",
    "stat .lawnmap/journal !",
]  # fmt: skip
LISTED = ["listdir .lawnmap/backups"]


@pytest.fixture
def garden(tmp_path):
    """Make a site at revision 2."""
    folder, new = made(tmp_path / "garden")
    return folder, store.save(folder, counted(new, 2), today=DAY).site


def noted(folder, work):
    disk = Noting(folder)
    with contextlib.suppress(LawnmapError):
        work(disk)
    return disk.calls


def test_a_new_site(tmp_path):
    folder = Folder(tmp_path / "garden")
    files = {"specification.toml": b"# x", "photos/a.txt": b"a"}
    assert noted(folder, lambda disk: store.create(folder, site(), files, disk=disk)) == [
        "stat . !", "mkdir .", *held(), "stat site.geojson !", "listdir .lawnmap/backups !",
        "stat specification.toml !", "makedirs .", *swept("specification.toml"),
        *put("specification.toml", there=False),
        "stat photos/a.txt !", "makedirs photos", *swept("photos/a.txt"),
        *put("photos/a.txt", there=False),
        *swept("site.geojson"), *put("site.geojson", there=False),
        f"open_folder ../{tmp_path.name}", f"fsync ../{tmp_path.name}", *freed(),
    ]  # fmt: skip
    assert noted(folder, lambda disk: store.create(folder, site(), disk=disk)) == [
        "stat .", *held(), "stat site.geojson", *freed(),
    ]  # fmt: skip


def test_loading(garden):
    folder, _ = garden
    assert noted(folder, lambda disk: store.load(folder, disk=disk)) == LOADED


def test_a_save(garden):
    folder, old = garden
    new = counted(old, 3)
    assert noted(folder, lambda disk: store.save(folder, new, today=DAY, disk=disk)) == [
        *begun(), *linked(), *put("site.geojson", there=True), *LISTED, *freed(),
    ]  # fmt: skip


def test_a_save_where_there_are_no_links(garden):
    folder, old = garden

    class Linkless(Noting):
        def do(self, call, /, *args, **kwargs):
            if call is os.link:
                raise OSError(95, "Operation not supported")
            return super().do(call, *args, **kwargs)

    disk = Linkless(folder)
    store.save(folder, counted(old, 3), today=DAY, disk=disk)
    assert disk.calls == [
        *begun(), *linked()[:-1], "read_regular site.geojson", *put(BACKUP, there=False),
        *put("site.geojson", there=True), *LISTED, *freed(),
    ]  # fmt: skip


def test_a_save_of_several_files(garden):
    folder, old = garden
    new, also = counted(old, 3), {"record.csv": b"x"}
    save = lambda disk: store.save(folder, new, also=also, today=DAY, disk=disk)
    assert noted(folder, save) == [
        *begun(), *linked(),
        "stat record.csv !", "stat .", "access .",
        "stat site.geojson", "access site.geojson", "stat .", "access .",
        "stat record.csv !", *put(".lawnmap/journal", there=False),
        "makedirs .", *swept("record.csv"), *put("record.csv", there=False),
        "makedirs .", *swept("site.geojson"), *put("site.geojson", there=True),
        "unlink .lawnmap/journal", *LISTED, *freed(),
    ]  # fmt: skip


def test_an_edit_that_came_late(garden):
    folder, old = garden
    new = counted(old.with_header(revision=1), 3)
    aside = "site.mine-1.geojson"
    assert noted(folder, lambda disk: store.save(folder, new, disk=disk)) == [
        *begun(), f"islink {aside}", f"stat {aside} !", *swept(aside), *put(aside, there=False),
        *freed(),
    ]  # fmt: skip


def test_finishing_what_was_cut_off(garden):
    folder, old = garden
    for number in itertools.count(30):
        with contextlib.suppress(LawnmapError):
            also = {"record.csv": b"x"}
            disk = Failing(number, for_good=True)
            store.save(folder, counted(old, 3), also=also, disk=disk)
        if folder.record.exists():
            break
    folder.record.write_bytes(b"by hand")
    folder.site.write_bytes(b"{")
    for left in folder.path.rglob(".*.tmp"):
        left.unlink()

    def kept(name):
        return [f"islink {name}", f"stat {name} !", *swept(name), *put(name, there=False)]

    assert noted(folder, lambda disk: store.load(folder, disk=disk)) == [
        "stat .lawnmap/journal", *held(), *swept(".lawnmap/journal"), "stat .lawnmap/journal",
        "stat site.geojson", "read_regular site.geojson", *kept("site.found.geojson"),
        "stat record.csv", "read_regular record.csv", *kept("record.found.csv"),
        "makedirs .", *swept("record.csv"), *put("record.csv", there=True),
        "makedirs .", *swept("site.geojson"), *put("site.geojson", there=True),
        "unlink .lawnmap/journal", *freed(), *LOADED[1:],
    ]  # fmt: skip


def test_going_back_and_taking_over(garden):
    folder, _ = garden
    backup = backups.listed(folder)[0]
    restore = lambda disk: recovery.restore(folder, backup, today=DAY, disk=disk)
    assert noted(folder, restore) == [
        *begun("stat site.geojson"), *linked(), *put("site.geojson", there=True), *freed(),
    ]  # fmt: skip
    value = {**json.loads(folder.site.read_bytes()), "crs": None}
    folder.site.write_text(json.dumps(value), encoding="utf-8")
    aside = "site.adopted.geojson"
    assert noted(folder, lambda disk: recovery.adopt(folder, disk=disk)) == [
        *begun(), *LISTED,
        f"islink {aside}", f"stat {aside} !", *swept(aside), *put(aside, there=False),
        *put("site.geojson", there=True), *freed(),
    ]  # fmt: skip
    folder.site.write_bytes(b"{")
    aside = "site.damaged.geojson"
    assert noted(folder, restore) == [
        *begun("stat site.geojson"), f"islink {aside}", f"stat {aside} !", *swept(aside),
        *put(aside, there=False), *put("site.geojson", there=True), *freed(),
    ]  # fmt: skip


def webp():
    stream = io.BytesIO()
    Image.new("RGB", (8, 8), "green").save(stream, "WEBP")
    return stream.getvalue()


def test_replies_and_photos(garden):
    folder, _ = garden
    name = ENVELOPE.path
    assert noted(folder, lambda disk: replies.keep(folder, ENVELOPE, disk=disk)) == [
        *held(), *made_folder("replies"), *swept(name), *put(name, there=False), *freed(),
    ]  # fmt: skip
    assert noted(folder, lambda disk: replies.known(folder, ENVELOPE.digest, disk=disk)) == [
        f"stat {name}"
    ]
    assert noted(folder, lambda disk: replies.listed(folder, disk=disk)) == ["listdir replies"]
    name = photos.keep(folder, webp())
    assert noted(folder, lambda disk: photos.keep(folder, webp(), disk=disk)) == [
        *held(), *made_folder("photos"), f"stat {name}", f"read_regular {name}",
        "open_folder photos", "fsync photos", *freed(),
    ]  # fmt: skip
    (folder.path / name).unlink()
    assert noted(folder, lambda disk: photos.keep(folder, webp(), disk=disk)) == [
        *held(), *made_folder("photos"), f"stat {name} !", *swept(name),
        *put(name, there=False), *freed(),
    ]  # fmt: skip


def issuing(folder):
    facts = {"day": DAY, "inputs": {}, "plan": [], "to": {}, "files": {"map.html": b"x"}}
    return lambda disk: issued.issue(folder, **facts, disk=disk)


def test_an_issue(garden):
    folder, _ = garden
    waiting = "issued/.waiting"
    files = ("plan.json", "inputs.json", "to.json", "map.html", "files.json")
    one = f"issued/2027-03-31-{issued.identity({})}"
    assert noted(folder, issuing(folder)) == [
        *held(), *made_folder("issued"), f"stat {waiting} !", f"mkdir {waiting}",
        *itertools.chain(*(put(f"{waiting}/{name}", there=False) for name in files)),
        "listdir issued", f"replace {waiting} {one}", "open_folder issued", "fsync issued",
        *freed(),
    ]  # fmt: skip
    handed = lambda disk: issued.handed(folder, inputs={}, to={}, disk=disk)
    assert noted(folder, handed) == ["listdir issued"]


def test_a_survey(garden):
    folder, old = garden
    name = "surveys/2027-03-31.geojson"
    close = lambda disk: surveys.closing(folder, old, day=DAY, disk=disk)
    assert noted(folder, close) == ["listdir surveys !"]
    closed(folder, old, day=DAY)
    assert noted(folder, close) == ["listdir surveys", f"read_regular {name}"]
    find = lambda disk: surveys.named(folder, "2027-03-31", disk=disk)
    assert noted(folder, find) == ["listdir surveys"]


def test_a_draft(garden):
    folder, _ = garden

    def work(disk):
        with draft.held(folder, disk=disk) as mine:
            mine.keep(draft.Kept(1, {}))
            mine.forget()

    name, lock = ".lawnmap/draft.json", ".lawnmap/draft.lock"
    assert noted(folder, work) == [
        *held(lock), f"stat {name} !", *swept(name), *put(name, there=False), f"unlink {name}",
        *freed(lock),
    ]  # fmt: skip
    (folder.path / name).write_bytes(b"{")

    def look(disk):
        with draft.held(folder, disk=disk):
            pass

    assert noted(folder, look) == [
        *held(lock), f"stat {name}", f"replace {name} .lawnmap/draft.damaged-1.json", *freed(lock),
    ]  # fmt: skip


def test_a_calibration(tmp_path):
    folder, lock, name = Folder(tmp_path), calibrations.LOCK, calibrations.NAME
    append = lambda disk: calibrations.append(tmp_path, ROW, disk=disk)
    assert noted(folder, append) == [
        *held(lock), f"stat {name} !", *swept(name), *put(name, there=False), *freed(lock),
    ]  # fmt: skip
    assert noted(folder, append) == [
        *held(lock), f"stat {name}", f"read_regular {name}", *swept(name),
        *put(name, there=True), *freed(lock),
    ]  # fmt: skip
    assert noted(folder, lambda disk: calibrations.read(tmp_path, disk=disk)) == [
        f"stat {name}", f"read_regular {name}",
    ]  # fmt: skip


def test_files_that_are_only_read(garden):
    folder, _ = garden
    folder.record.write_bytes(b"record_id\na")
    (folder.path / record.TORN).write_bytes(b"x")
    torn = record.Record((), (), "a")
    for work, name in (
        (lambda disk: record.read(folder, disk=disk), record.NAME),
        (lambda disk: record.kept_torn(folder, torn, disk=disk), record.TORN),
    ):
        assert noted(folder, work) == [f"stat {name}", f"read_regular {name}"]
    for module in (heights, surface):
        (folder.path / module.NAME).write_bytes(b"x")
        assert noted(folder, lambda disk, module=module: module.read(folder, disk=disk)) == [
            f"stat {module.NAME}", f"read_regular {module.NAME}",
        ]  # fmt: skip


@pytest.fixture
def impatient(monkeypatch):
    """Make whoever has to wait for a lock give up at once."""
    monkeypatch.setitem(locked.__wrapped__.__kwdefaults__, "wait_s", 0.0)


@pytest.mark.usefixtures("impatient")
def test_every_writer_waits_for_the_lock_of_the_site(garden):
    folder, old = garden
    before = sorted(folder.path.rglob("*"))
    with locked(folder.lock):
        for work in (
            lambda: store.save(folder, counted(old, 3)),
            lambda: store.create(folder, site()),
            lambda: replies.keep(folder, ENVELOPE),
            lambda: photos.keep(folder, webp()),
            lambda: issuing(folder)(Disk()),
            lambda: recovery.adopt(folder),
            lambda: recovery.restore(folder, backups.listed(folder)[0]),
        ):
            with pytest.raises(Busy) as caught:
                work()
            assert str(caught.value) == (
                "garden: another lawnmap is writing here. Nothing was changed. "
                "Wait until it is done, or close it, and try again."
            )
    assert sorted(folder.path.rglob("*")) == before


@pytest.mark.usefixtures("impatient")
def test_a_calibration_waits_for_the_lock_of_its_table(tmp_path):
    with locked(tmp_path / calibrations.LOCK), pytest.raises(Busy, match=r"calibration\.csv"):
        calibrations.append(tmp_path, ROW)
    assert calibrations.read(tmp_path) == ()


@pytest.mark.parametrize("kind", ["reply", "photo"])
def test_no_power_cut_undoes_what_was_kept(garden, tmp_path, kind):
    """The first of its kind too, whose folder is made for it."""
    folder, _ = garden
    before, disk = power_cut.Model.of(tmp_path), Recording()
    if kind == "reply":
        name, wanted = ENVELOPE.path, ENVELOPE.data
        replies.keep(folder, ENVELOPE, disk=disk)
    else:
        wanted = webp()
        name = photos.keep(folder, wanted, disk=disk)
    disk.acknowledge(1)

    def undone(calls):
        states = list(power_cut.cuts(before, calls))
        assert len(states) > 5
        for acknowledged, files, folders in states:
            path = folder.path / name
            there = files.get(path) if path.parent in folders else None  # else it is lost
            assert there in {None, wanted} or not acknowledged
            if acknowledged and there != wanted:
                return True
        return False

    assert not undone(disk.calls)
    folders = [
        number
        for number, call in enumerate(disk.calls)
        if call.name == "fsync" and isinstance(disk.calls[number - 1].args[0], os.PathLike)
    ]
    assert len(folders) == 2  # the folder of the site, and the new one
    for number in folders:
        assert undone(power_cut.dropping(disk.calls, {number}))


def test_a_disk_without_links_prunes_as_any_other(garden):
    folder, old = garden
    for count in range(3, 12):
        old = store.save(folder, counted(old, count), today=DAY, disk=Without("link")).site
    assert [each.revision for each in backups.listed(folder)] == [10, 9, 8, 7, 6]
