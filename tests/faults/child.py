"""Processes that end at an operation, are held to a limit, or race.

Everything is forked from this one process, which has a single thread, so that a round costs
milliseconds; what happened is printed as JSON.
"""

from __future__ import annotations

import contextlib
import json
import os
import random
import re
import resource
import shutil
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

from lawnmap.errors import Busy, LawnmapError
from lawnmap.files import alone
from lawnmap.files.alone import put
from lawnmap.files.disk import DISK
from lawnmap.files.lock import locked
from lawnmap.jobs.assess import assess
from lawnmap.jobs.mark import Marking
from lawnmap.jobs.read import read
from lawnmap.jobs.record import Recorded
from lawnmap.jobs.record import saved as recorded
from lawnmap.jobs.sites.kept import Kept
from lawnmap.store import calibrations
from lawnmap.store import draft as drafts
from lawnmap.store import record as record_store
from lawnmap.store import site as sites
from lawnmap.store.folder import Folder
from lawnmap.store.record import COLUMNS
from tests.disks import DIED, Dying
from tests.faults.writers import BY_NAME, WRITERS, Template, left, on
from tests.store.child import forked
from tests.store.sites import made, zone

HOUSE = Path(__file__).parents[2]
ONE_THREAD = dict.fromkeys(("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"), "1")


def told_by(command, *arguments, timeout=560):
    """Run one command of this module in a process of its own and return what it tells."""
    ended = subprocess.run(
        [sys.executable, "-m", "tests.faults.child", command, *map(str, arguments)],
        cwd=HOUSE,
        capture_output=True,
        text=True,
        check=False,
        timeout=timeout,
        env={**os.environ, **ONE_THREAD},
    )
    assert ended.returncode == 0, ended.stderr
    return json.loads(ended.stdout)


def die(place, step):
    """End the process at every operation of every writer, or at each of so many."""
    told = {"writers": 0, "died": 0, "most_left": 0, "swept": 0, "wrong": []}
    for order, writer in enumerate(WRITERS):
        told["writers"] += 1
        Path(place, str(order)).mkdir(parents=True)
        template = Template(writer, Path(place, str(order)))
        for number in range(1 + 2 % int(step), 400, int(step)):
            root = template.copy("copy")

            def work(root=root, writer=writer, number=number):
                with on(Dying(number)):
                    writer.work(root)

            _, status = os.waitpid(forked(work), 0)
            code = os.waitstatus_to_exitcode(status)
            told["died"] += code == DIED
            there = left(root)
            told["most_left"] = max(told["most_left"], len(there))
            why = _after_death(template, root, code)
            told["swept"] += len(there) > 0
            if why:
                told["wrong"].append([writer.name, number, why])
            shutil.rmtree(root)
            if code == 0:
                break
    return told


def _after_death(template, root, code):
    """Return what is wrong after a process ended; the next run must work."""
    if code not in {0, DIED}:
        return f"exit code {code}"
    if len(left(root)) > 1:
        return f"left: {left(root)}"
    found = template.found(root)
    if template.torn(found):
        return f"torn: {template.torn(found)}"
    if found != template.new:
        try:
            template.writer.work(root)
        except LawnmapError as error:
            return f"the next run is refused: {error}"
        if template.found(root) != template.new:
            return "the next run did not work"
    return f"left by the next run: {left(root)}" if left(root) else ""


# Disks that are full, held to a limit, or not ours ------------------------------------------------

# Of a writer: the file that it replaces, and the folder it goes into.
PLACES = {
    "assess": ("garden/site.geojson", "garden"),
    "record": ("garden/record.csv", "garden"),
    "issue": ("", "garden"),
    "calibrate": ("calibration.csv", "."),
    "export": ("garden/exports/map.html", "garden/exports"),
    "export -o --force": ("mine.html", "."),
    "sites: tables and papers": ("sites.csv", "."),
    "sites: parts": ("", ".parts"),
    "sites: partitions": ("", ".parts/laid/sites"),
}
NOBODY = 65534


def _ordinary():
    """Go on as a user without rights of its own."""
    if os.getuid() == 0:
        os.setgroups([])
        os.setgid(NOBODY)
        os.setuid(NOBODY)


def _limit():
    resource.setrlimit(resource.RLIMIT_FSIZE, (10, resource.getrlimit(resource.RLIMIT_FSIZE)[1]))


def _tried(work, root):
    """Do a work and return how it went, as a person is told."""
    try:
        work(root)
    except LawnmapError as error:
        return {"code": error.exit_code, "told": str(error)}
    return {"code": 0, "told": ""}


def _apart(work, prepare):
    """Do a work in a process of its own, so that what is prepared there ends with it."""
    read_end, write_end = os.pipe()

    def told():
        prepare()
        os.write(write_end, json.dumps(work()).encode())

    pid = forked(told)
    os.close(write_end)
    with os.fdopen(read_end, "rb") as pipe:
        text = pipe.read()
    os.waitpid(pid, 0)
    return json.loads(text)


def _opened_up(root):
    """Let anybody read and write what is there."""
    for each in [root, *root.rglob("*")]:
        each.chmod(0o777 if each.is_dir() else 0o666)


def _looked(template, root, told):
    """Return how it went and what is there after it."""
    found = template.found(root)
    state = "old" if found == template.old else "new" if found == template.new else "other"
    return {**told, "state": state, "torn": template.torn(found), "left": left(root)}


def forbidden(place):
    """Try writers under a limit on the size of files, and where they have no right to write."""
    told = {}
    Path(place).mkdir()
    Path(place).chmod(0o777)
    for order, (name, (file, folder)) in enumerate(PLACES.items()):
        writer = BY_NAME[name]
        home = Path(place, str(order))
        home.mkdir()
        home.chmod(0o777)
        template = Template(writer, home)
        conditions = {
            "size": (lambda root: None, _limit),
            "folder": (lambda root, folder=folder: (root / folder).chmod(0o555), _ordinary),
            "right": (lambda root: None, _ordinary),
        }
        if file:
            conditions["file"] = (lambda root, file=file: (root / file).chmod(0o444), _ordinary)
        for condition, (spoil, prepare) in conditions.items():
            root = template.copy(condition)
            _opened_up(root)
            spoil(root)
            found = _apart(lambda writer=writer, root=root: _tried(writer.work, root), prepare)
            _opened_up(root)
            found = _looked(template, root, found)
            if found["code"]:
                writer.work(root)
                found["again"] = template.found(root) == template.new
            told[f"{name}, {condition}"] = found
        if file:
            told[f"{name}, link"] = _linked(template, file)
    return told


def _linked(template, file):
    """Let the file that is replaced be a link to one with rights of its own."""
    root = template.copy("link")
    home = root / "garden" if (root / "garden").is_dir() else root
    (home / ".lawnmap").mkdir(exist_ok=True)
    true = home / ".lawnmap" / "shared"
    (root / file).rename(true)
    (root / file).symlink_to(true)
    true.chmod(0o640)
    found = _tried(template.writer.work, root)
    stays = (root / file).is_symlink() and true.stat().st_mode & 0o777 == 0o640
    return {**_looked(template, root, found), "stays": stays}


def full(place):
    """Try writers on a disk that is full, then with room again."""
    told = {}
    for order, name in enumerate(PLACES):
        home = Path(place, str(order))
        home.mkdir()
        template = Template(BY_NAME[name], home)
        root = template.copy("full")
        filler = Path(place, "filler")
        with contextlib.suppress(OSError), filler.open("wb", buffering=0) as stream:
            while True:
                stream.write(bytes(4096))
        found = _tried(template.writer.work, root)
        filler.unlink()
        found = _looked(template, root, found)
        template.writer.work(root)
        told[name] = {**found, "again": template.found(root) == template.new}
        shutil.rmtree(home)
    return told


# Races -------------------------------------------------------------------------------------------


def race(place, writers, edits):
    """Let writers with different commands make edits at one site; a loser looks and tries again."""
    folder = Folder(Path(place, "garden"))
    depot = Path(place, "depot")
    depot.mkdir(parents=True)
    _, site = made(folder.path, *(zone(f"a{number}") for number in range(1, 9)))
    folder.record.write_bytes(record_store.with_rows(record_store.Record(COLUMNS, ()), []))
    ways = (_edit_record, _edit_zone, _edit_plan, _edit_mark, _edit_calibration)
    read_end, write_end = os.pipe()

    def write(number):
        random.seed(number)
        way = ways[number % len(ways)]
        done = {"way": way.__name__, "saved": 0, "lost": 0, "kept": 0, "codes": []}
        for edit in range(int(edits)):
            while True:
                mark = f"{number}-{edit}-{done['lost']}"
                try:
                    way(folder, depot, number + 1, mark)
                    break
                except Busy as error:
                    done["lost"] += 1
                    done["codes"] = sorted({*done["codes"], error.exit_code})
                    done["kept"] += _kept(folder, str(error), mark)
                    time.sleep(random.uniform(0, 0.03))
            done["saved"] += 1
        os.write(write_end, json.dumps(done).encode() + b"\n")

    pids = [forked(lambda number=number: write(number)) for number in range(int(writers))]
    codes = [os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]) for pid in pids]
    os.close(write_end)
    with os.fdopen(read_end, "rb") as pipe:
        done = [json.loads(line) for line in pipe.read().splitlines()]
    now = sites.load(folder)
    notes = [each["properties"].get("public_note", "") for each in now.document["features"]]
    return {
        "codes": codes,
        "done": done,
        "revisions": now.revision - site.revision,
        "rows": len(record_store.read(folder).rows),
        "calibrations": len(calibrations.read(depot)),
        "notes": notes,
        "left": left(Path(place)),
    }


def _kept(folder, told, mark):
    """Tell whether a loser's edit lies where the message says."""
    names = re.findall(r"[\w-]+\.mine-[\w-]+\.\w+", told)
    return any(mark.encode() in (folder.path / name).read_bytes() for name in names)


def _edit_record(folder, depot, number, mark):
    del depot
    site, there = sites.load(folder), record_store.read(folder)
    row = {"record_id": f"work.{mark}", "zone_id": f"a{number}", "operation": "mowing"}
    recorded(folder, site, there, Recorded(row))


def _edit_zone(folder, depot, number, mark):
    del depot
    assess(folder.path, {f"a{number}": {"public_note": mark}})


def _edit_plan(folder, depot, number, mark):
    """Read a plan of one zone into the site."""
    feature = zone(f"a{number}", public_note=mark)
    plan = {"type": "FeatureCollection", "features": [feature]}
    path = depot / f"{number}.geojson"
    path.write_text(json.dumps(plan), encoding="utf-8")
    read(path, into=folder.path)


def _edit_mark(folder, depot, number, mark):
    del depot
    with drafts.held(folder) as draft:
        hold = Marking(folder, draft)
        shown = hold.show()
        key = f"a{number}"
        old = shown.features[key]
        new = {**old, "properties": {**old["properties"], "public_note": mark}}
        try:
            hold.save(shown.site.revision, {key: new}, {})
        except Busy as error:
            raise Busy(f"{error} site.mine-of-the-draft.geojson") from error


def _edit_calibration(folder, depot, number, mark):
    del folder, number
    calibrations.append(depot, {"date": "2027-03-01", "applicator": "Can", "operator": mark})


def held(place):
    """Kill who holds a lock; return how long the next writer waits, for every kind of lock [s]."""
    told = {}
    root = Path(place)
    root.mkdir()
    _, site = made(root / "garden")
    folder = Folder(root / "garden")
    depot, out = root / "depot", root / "out"
    depot.mkdir()
    parts = Kept(out)
    parts.folder.mkdir(parents=True, exist_ok=True)
    ways = {
        "a site": (folder.lock, lambda: sites.save(folder, site)),
        "a depot": (
            depot / calibrations.LOCK,
            lambda: calibrations.append(depot, {"date": "2027-03-01", "applicator": "Can"}),
        ),
        "results of many sites": (parts.lock, lambda: _taken(parts.lock)),
        "a folder that is exported to": (None, lambda: put(root / "map.html", b"new", force=True)),
    }
    for name, (lock, work) in ways.items():
        read_end, write_end = os.pipe()

        def hold(lock=lock, write_end=write_end):
            with locked(lock) if lock else alone.held(root / "map.html", 5.0, DISK):
                os.write(write_end, b"held")
                time.sleep(60)

        pid = forked(hold)
        os.close(write_end)
        os.read(read_end, 4)
        os.close(read_end)
        threading.Timer(0.1, os.kill, (pid, signal.SIGKILL)).start()
        began = time.monotonic()
        work()
        told[name] = time.monotonic() - began - 0.1
        os.waitpid(pid, 0)
    return told


def _taken(lock):
    with locked(lock):
        pass


if __name__ == "__main__":
    command, *rest = sys.argv[1:]
    sys.stdout.write(json.dumps(globals()[command](*rest)))
