"""Processes that are killed, die, race or have few rights: run as ``python -m tests.store.child``.

Everything is forked from this one process, which has a single thread, so that a round costs
milliseconds; what happened is printed as JSON.
"""

from __future__ import annotations

import json
import os
import random
import resource
import shutil
import signal
import sys
import time
from pathlib import Path

from lawnmap.errors import Busy, LawnmapError
from lawnmap.store import backups, journal
from lawnmap.store.folder import Folder
from lawnmap.store.site import load, save
from tests.disks import DIED, Dying
from tests.store.sites import count_of, counted, record_of, zone


def forked(work):
    """Run `work` in a forked process that never comes back; return its id."""
    pid = os.fork()
    if pid:
        return pid
    try:
        work()
        os._exit(0)
    except BaseException as error:  # noqa: BLE001  (a child must not run on in its parent's tests)
        sys.stderr.write(f"{type(error).__name__} {error}\n")
        os._exit(1)


def temps(folder):
    return len(list(folder.path.rglob(".*.tmp")))


def kill(path, kills, seed):
    """Kill a process that saves in a loop, at random moments; it must not matter."""
    folder, random_ = Folder(Path(path)), random.Random(int(seed))
    told = {"kills": 0, "damaged": [], "lost": 0, "torn": 0, "most_temps": 0, "bad_backups": 0}
    told["finished"] = 0
    saved = 0
    for _ in range(int(kills)):
        read_end, write_end = os.pipe()

        def loop(write_end=write_end):
            random.seed(os.getpid())
            site = load(folder)
            while True:
                count = count_of(site) + 1
                also = {"record.csv": record_of(count)} if count % 2 == 0 else None
                site = save(folder, counted(site, count), also=also).site
                os.write(write_end, b"%d\n" % count)

        pid = forked(loop)
        os.close(write_end)
        time.sleep(random_.uniform(0, 0.09))
        os.kill(pid, signal.SIGKILL)
        _, status = os.waitpid(pid, 0)
        told["kills"] += os.WIFSIGNALED(status)
        with os.fdopen(read_end, "rb") as pipe:
            saved = int((pipe.read().split() or [saved])[-1])
        told["most_temps"] = max(told["most_temps"], temps(folder))
        told["finished"] += journal.pending(folder)
        try:
            count = count_of(load(folder))
        except LawnmapError as error:
            told["damaged"].append(str(error))
            continue
        told["lost"] += count < saved
        told["torn"] += folder.record.read_bytes() != record_of(count - count % 2)
        for backup in backups.listed(folder):
            try:
                backups.read(backup)
            except LawnmapError:
                told["bad_backups"] += 1
        saved = count
    return {**told, "saved": saved}


def die(path, together):
    """End the process at every operation of a save, one after the other."""
    told = {"died": 0, "wrong": [], "old": 0, "new": 0}
    for number in range(1, 200):
        folder = Folder(Path(f"{path}-{number}"))
        shutil.copytree(path, folder.path)
        also = {"record.csv": record_of(2)} if together == "together" else None

        def once(folder=folder, number=number, also=also):
            save(folder, counted(load(folder), 2), also=also, disk=Dying(number))

        _, status = os.waitpid(forked(once), 0)
        code = os.waitstatus_to_exitcode(status)
        left = temps(folder)
        count, record = count_of(load(folder)), folder.record.read_bytes()
        wanted = record_of(count) if also else record_of(1)
        good = code in {0, DIED} and count in {1, 2} and record == wanted and left <= 1
        again = save(folder, counted(load(folder), 3)).site
        if not good or count_of(again) != 3 or temps(folder) or journal.pending(folder):
            told["wrong"].append([number, code, count, left])
        told["new" if count == 2 else "old"] += 1
        if code == 0:
            return told
        told["died"] += 1
    return told


def race(path, writers, edits):
    """Let many writers make many edits each; a loser loads again and repeats its edit."""
    folder = Folder(Path(path))
    read_end, write_end = os.pipe()

    def write(number):
        busy = 0
        random.seed(number)
        for edit in range(int(edits)):
            while True:
                site = load(folder)
                changed = counted(site, count_of(site) + 1, by=f"{number}-{edit}-{busy}")
                try:
                    save(folder, changed)
                    break
                except Busy as error:
                    if f"yours is revision {site.revision}" not in str(error):
                        raise
                    busy += 1
                    time.sleep(random.uniform(0, 0.02))
        os.write(write_end, b"%d\n" % busy)

    pids = [forked(lambda number=number: write(number)) for number in range(int(writers))]
    codes = [os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]) for pid in pids]
    os.close(write_end)
    with os.fdopen(read_end, "rb") as pipe:
        busy = sum(map(int, pipe.read().split()))
    kept = {path.read_bytes() for path in folder.path.glob("site.mine-*.geojson")}
    site = load(folder)
    return {
        "codes": codes,
        "count": count_of(site),
        "revision": site.revision,
        "busy": busy,
        "kept": len(kept),
    }


def tried(path):
    """Save once and tell how it went."""
    folder = Folder(Path(path))
    site = load(folder)
    long = zone("a1", count=count_of(site) + 1, public_note="moss " * 2_000)
    try:
        save(folder, site.with_features([long]))
    except LawnmapError as error:
        return {"code": error.exit_code, "told": str(error)}
    return {"code": 0, "told": ""}


def limited(path, size):
    """Save under a limit on the size of files: the write stops half way."""
    most = resource.getrlimit(resource.RLIMIT_FSIZE)[1]
    resource.setrlimit(resource.RLIMIT_FSIZE, (int(size), most))
    return tried(path)


def ordinary(path):
    """Save as a user without rights of its own."""
    if os.getuid() == 0:
        os.setgroups([])
        os.setgid(65534)
        os.setuid(65534)
    return tried(path)


if __name__ == "__main__":
    command, *rest = sys.argv[1:]
    sys.stdout.write(json.dumps(globals()[command](*rest)))
