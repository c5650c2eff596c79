"""The runner of the set: lays out each run's folder, runs it as a person would, and judges it."""

import csv
import hashlib
import json
import os
import re
import shutil
import sys
from collections.abc import Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path

from lawnmap.errors import printable
from lawnmap.jobs.start import start
from tests import forks
from tests.hostile import bait as baits
from tests.readers.good_files import SAMPLE

LONG = os.environ.get("LAWNMAP_LONG") == "1"
REFUSALS = Path(__file__).parent / "refusals.csv"
LOCK = "site/.lawnmap/lock"
CPU_S, MEMORY_MB, LINES = 10, 1024, 3
DONE = r"(?:Nothing was (?:changed|written|made)|The change in it was not finished)"


@dataclass
class Outcome:
    """What one run did: what the system says of it, and what it said itself."""

    code: int
    signal: int
    wall_s: float
    cpu_s: float
    memory_mb: float
    out: bytes = b""
    err: bytes = b""

    @property
    def said(self):
        """Standard error as text."""
        return self.err.decode("utf-8", "replace")


@dataclass
class Tally:
    """What a number of runs came to."""

    runs: int = 0
    refused: int = 0
    accepted: int = 0
    controls: int = 0
    worded: int = 0
    slowest_s: float = 0.0
    most_cpu_s: float = 0.0
    most_mb: float = 0.0
    cpu_s: float = 0.0
    wrong: dict[str, list[str]] = field(default_factory=dict)

    def of(self, *kinds):
        """Return how many faults of some kinds there were, by what their words begin with."""
        every = [fault for faults in self.wrong.values() for fault in faults]
        return sum(fault.startswith(kinds) for fault in every)

    def add(self, case, outcome, faults):
        """Count one run."""
        self.runs += 1
        self.refused += case.code != 0
        self.controls += case.code == 0
        self.accepted += case.code == 0 == outcome.code
        self.worded += case.code != 0 and not [each for each in faults if "form" in each]
        self.slowest_s = max(self.slowest_s, outcome.wall_s)
        self.most_cpu_s = max(self.most_cpu_s, outcome.cpu_s)
        self.most_mb = max(self.most_mb, outcome.memory_mb)
        self.cpu_s += outcome.cpu_s
        if faults:
            self.wrong.setdefault(case.name, []).extend(faults)


class Runner:
    """Runs cases in scratch folders of one parent folder, by the server or in new processes."""

    def __init__(self, folder, bait, *, long=LONG):
        self.folder, self.bait = folder, bait
        self.home, self.temporary = folder / "home", folder / "temporary"
        self.said = folder / "said"
        for each in (self.home, self.temporary, self.said):
            each.mkdir()
        self.sites = sites(folder / "sites")
        self.count = 0
        self.long = long
        self.environment = {
            **os.environ,
            "HOME": str(self.home),
            "TMPDIR": str(self.temporary),
            "LC_ALL": "C.UTF-8",
        }
        self.environment.pop("XDG_STATE_HOME", None)
        self.forks = forks.Forks("reading", self.environment)

    def scratch(self, case):
        """Lay out the folder of one run: ``in`` with its files, ``site`` with a site."""
        self.count += 1
        folder = self.folder / f"run{self.count}"
        inbox = folder / "in"
        inbox.mkdir(parents=True)
        for name, data in case.files.items():
            (inbox / name).write_bytes(self.bait.made(data))
        shutil.copytree(self.sites[case.site], folder / "site")
        if case.made:
            case.made(folder)
        return folder

    def run(self, words, cwd, stdin=None):
        """Run one command in a folder, as a person types it."""
        streams = [str(self.said / name) for name in ("in", "out", "err")]
        Path(streams[0]).write_bytes(stdin or b"")
        for name in streams[1:]:
            Path(name).write_bytes(b"")
        words = [
            self.bait.filled(word.encode("utf-8", "surrogatepass")).decode("utf-8", "surrogatepass")
            for word in words
        ]
        request = {"words": words, "cwd": str(cwd), "streams": streams}
        if self.long and all(typable(word) for word in words):
            request["program"] = str(Path(sys.executable).with_name("lawnmap"))
        told = self.forks.ran(request)
        return Outcome(**told, out=Path(streams[1]).read_bytes(), err=Path(streams[2]).read_bytes())

    def close(self):
        """End the process that forks."""
        self.forks.close()

    def judged(self, case, tally):
        """Run one case and what follows from it; add to `tally` what was wrong."""
        folder = self.scratch(case)
        before, inputs = content(folder), content(folder / "in")
        outcome = self.run(case.typed, folder, case.stdin)
        faults = judged(case, outcome)
        after = content(folder)
        if case.code:
            faults += changes(before, after)
        elif content(folder / "in") != inputs:
            faults += [
                f"beside the input: {each}" for each in changes(inputs, content(folder / "in"))
            ]
        for words in case.then if not faults else ():
            later = self.run(words, folder)
            if later.code:
                faults.append(f"{words[0]} after it: {later.said}")
        faults += self.baited(outcome, folder)
        tally.add(case, outcome, faults)
        shutil.rmtree(folder, ignore_errors=True)
        return outcome

    def baited(self, outcome, folder):
        """Return which baits were taken, and what was left in the home and temporary folders."""
        marks = [mark.encode() for mark in (baits.MARK, baits.PRIVATE)]
        faults = []
        if self.bait.hits:
            faults += ["network call"] * len(self.bait.hits)
            self.bait.hits.clear()
        if any(mark in outcome.out + outcome.err for mark in marks):
            faults.append("secret: stands in what it said")
        faults += [
            f"secret: stands in {path.relative_to(folder)}"
            for path in folder.rglob("*")
            if path.is_file()
            and not path.is_symlink()
            and "in" not in path.relative_to(folder).parts
            and any(mark in path.read_bytes() for mark in marks)
        ]
        if self.bait.trap.exists():
            faults.append("code: was run")
        left = [*self.home.rglob("*"), *self.temporary.rglob("*")]
        return faults + [f"left behind: {path.name}" for path in left]

    def tally(self, cases):
        """Return what all of some runs came to."""
        tally = Tally()
        for case in cases:
            self.judged(case, tally)
        if baits.heard(self.bait):
            tally.wrong["the last of them"] = ["network call"]
        return tally


@contextmanager
def runner(folder, **options):
    """Return a runner with baits laid, until the end."""
    (folder / "bait").mkdir()
    with baits.laid(folder / "bait") as bait:
        made = Runner(folder, bait, **options)
        try:
            yield made
        finally:
            made.close()


def typable(word):
    """Tell whether the system lets a word be typed behind a command."""
    try:
        return b"\0" not in os.fsencode(word)
    except UnicodeEncodeError:
        return False


def sites(folder):
    """Make the sites that files are read into, once."""
    folder.mkdir()
    found = {name: folder / name for name in ("empty", "zones", "unplaced")}
    start(found["empty"], title="Invented garden")
    shutil.copytree(found["empty"], found["unplaced"])
    path = found["unplaced"] / "site.geojson"
    document = json.loads(path.read_bytes())
    ring = [[0, 0], [3e-4, 0], [3e-4, 2e-4], [0, 2e-4], [0, 0]]
    document["features"] = [
        {
            "type": "Feature",
            "properties": {"feature": "zone", "zone_id": "lawn", "name": "Lawn"},
            "geometry": {"type": "Polygon", "coordinates": [ring]},
        }
    ]
    document["lawnmap"] |= {"placed": False, "anchor": [0.0, 0.0], "origin": [0.0, 0.0]}
    path.write_text(json.dumps(document), encoding="utf-8")
    shutil.copytree(SAMPLE / "site", found["zones"])
    return found


def content(folder) -> Mapping[str, str]:
    """Return what lies in a folder by name, each as the hash of its bytes or as what it is."""
    found = {}
    for path in sorted(folder.rglob("*")):
        name = path.relative_to(folder).as_posix()
        if path.is_symlink():
            found[name] = "link"
        elif path.is_file():
            try:
                found[name] = hashlib.sha256(path.read_bytes()).hexdigest()
            except PermissionError:
                found[name] = "closed"
        else:
            found[name] = "folder" if path.is_dir() else "special"
    return found


def changes(before, after):
    """Return what differs between two contents, the lock of the site left aside."""
    names = (before.keys() | after.keys()) - {LOCK, "site/.lawnmap"}
    return [f"changed: {name}" for name in sorted(names) if before.get(name) != after.get(name)]


def judged(case, outcome):
    """Return what is wrong with a run by what it did and said."""
    faults = []
    if outcome.code != case.code or outcome.signal:
        faults.append(f"exit {outcome.code}, signal {outcome.signal}: {outcome.said[-800:]}")
    if "Traceback" in outcome.said:
        faults.append("traceback")
    if outcome.cpu_s > CPU_S or outcome.wall_s > forks.HOLD_S or outcome.memory_mb > MEMORY_MB:
        faults.append(f"limit: {outcome.cpu_s:.1f} s of computing, {outcome.memory_mb:.0f} MB")
    if any(not (char.isprintable() or char == "\n") for char in outcome.said):
        faults.append("control characters")
    if case.code:
        faults += worded(case, outcome.said)
    elif case.told not in outcome.said + outcome.out.decode("utf-8", "replace"):
        faults.append(f"does not say {case.told!r}: {outcome.said}")
    return faults


def worded(case, said):
    """Return what is wrong with the words of a refusal: form, length, names, reason."""
    faults = []
    if len(said.splitlines()) > LINES:
        faults.append(f"form: {len(said.splitlines())} lines")
    place, words = refusals().get(case.name, ("", "?"))
    if said.startswith("Usage: "):
        return faults if f"\n\nError: {words}" in said else [*faults, f"not {words!r}: {said}"]
    file = f"{re.escape(case.told_file)}: " if case.told_file else ""
    at = f"{re.escape(printable(place))}: " if place else ""
    form = rf"lawnmap: {file}{at}(?P<problem>\S.*?)[.!?] {DONE}\. (?P<remedy>\S.*[.?…])\n"
    match = re.fullmatch(form, said)
    if not match:
        faults.append(f"form: {said}")
    elif not match["problem"].startswith(words):
        faults.append(f"does not say {words!r}: {said}")
    return faults


@lru_cache
def refusals():
    """Return place and beginning of every refusal in the set, by the name of its run."""
    with REFUSALS.open(encoding="utf-8", newline="") as stream:
        return {row["run"]: (row["place"], row["words"]) for row in csv.DictReader(stream)}
