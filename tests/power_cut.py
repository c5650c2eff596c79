"""What a disk may hold after a power cut, from the calls that were really made.

The model: content that was not synced may be as before, empty, cut, zero bytes, or there; names
(created, renamed, linked, removed) become lasting in the order of the calls, folder by folder, but
late: any number of the last ones may be missing until their folder is synced.
"""

from __future__ import annotations

import copy
import itertools
import os
from dataclasses import dataclass, field
from pathlib import Path

FOLDER = "folder"  # stands for a folder where a file would have its content


@dataclass
class Content:
    """The bytes of one file, wherever it is named."""

    now: bytes = b""
    synced: bytes = b""

    def variants(self):
        if self.now == self.synced:
            return [self.now]
        return list(
            dict.fromkeys(
                [self.synced, b"", self.now[: len(self.now) // 2], bytes(len(self.now)), self.now]
            )
        )


@dataclass
class Model:
    """A disk that is told the calls one by one."""

    names: dict = field(default_factory=dict)  # as a running system sees them
    lasting: dict = field(default_factory=dict)
    pending: dict = field(default_factory=dict)  # folder -> changes of names since its last sync
    handles: dict = field(default_factory=dict)
    acknowledged: int = 0  # the last save that was told as done

    @classmethod
    def of(cls, root):
        """Return the model of what lies on the disk below `root`, all of it synced."""
        model = cls(names={Path(root): FOLDER}, lasting={Path(root): FOLDER})
        for path in sorted(Path(root).rglob("*")):
            thing = FOLDER if path.is_dir() else Content(path.read_bytes(), path.read_bytes())
            model.names[path] = model.lasting[path] = thing
        return model

    def change(self, path, thing):
        """Name a thing, take a name away (None), or give it another (a path in the same folder)."""
        self.names = self.after(self.names, [(path, thing)])
        self.pending.setdefault(path.parent, []).append((path, thing))

    def apply(self, call):
        name, args = call.name, call.args
        if name == "open":
            path = Path(args[0])
            if args[1] & os.O_CREAT and path not in self.names:
                self.change(path, Content())
            self.handles[call.result] = self.names.get(path, path)
            if args[1] & os.O_DIRECTORY:
                self.handles[call.result] = path
        elif name == "write":
            self.handles[args[0]].now += args[1][: call.result]
        elif name == "fsync":
            self.sync(self.handles[args[0]])
        elif name == "replace":
            self.change(*map(Path, args))
        elif name == "link":
            self.change(Path(args[1]), self.names[Path(args[0])])
        elif name == "unlink":
            self.change(Path(args[0]), None)
        elif name in {"mkdir", "makedirs", "rmtree"}:
            self.folder(name, Path(args[0]))
        elif name == "acknowledge":
            self.acknowledged = args[0]

    def folder(self, name, path):
        """Make a folder, with those above it, or take it away with all that is in it."""
        if name == "rmtree":
            for gone in sorted((n for n in self.names if path in (n, *n.parents)), reverse=True):
                self.change(gone, None)
            return
        for each in [*reversed(path.parents), path] if name == "makedirs" else [path]:
            if each not in self.names and each.parent in self.names:
                self.change(each, FOLDER)

    def sync(self, thing):
        if isinstance(thing, Content):
            thing.synced = thing.now
        else:
            self.lasting = self.after(self.lasting, self.pending.pop(thing, []))

    @staticmethod
    def after(names, changes):
        names = dict(names)
        for path, thing in changes:
            if isinstance(thing, Path):
                for old in [each for each in names if each == path or path in each.parents]:
                    names[thing / old.relative_to(path)] = names.pop(old)
            elif thing is None:
                names.pop(path, None)
            else:
                names[path] = thing
        return names

    def states(self):
        """Yield every set of files (path to bytes) that the disk may hold now."""
        folders = list(self.pending)
        for lengths in itertools.product(*(range(len(self.pending[f]) + 1) for f in folders)):
            names = self.lasting
            for folder, length in zip(folders, lengths, strict=True):
                names = self.after(names, self.pending[folder][:length])
            files = {path: thing for path, thing in names.items() if thing is not FOLDER}
            folders_there = {path for path, thing in names.items() if thing is FOLDER}
            dirty = list({id(thing): thing for thing in files.values()}.values())
            for contents in itertools.product(*(thing.variants() for thing in dirty)):
                held = {id(thing): data for thing, data in zip(dirty, contents, strict=True)}
                yield {path: held[id(thing)] for path, thing in files.items()}, folders_there


def cuts(before, calls):
    """Yield (acknowledged, files, folders) for every state after every call, each state once.

    Parameters
    ----------
    before : Model
        The disk before the first call; it is left as it is.
    calls : list of Call
        As recorded.
    """
    model = copy.deepcopy(before)
    seen = set()
    for call in [None, *calls]:
        if call is not None:
            model.apply(call)
        for files, folders in model.states():
            key = (model.acknowledged, tuple(sorted(files.items())), tuple(sorted(folders)))
            if key not in seen:
                seen.add(key)
                yield model.acknowledged, files, folders


def lay(files, folders, root, target):
    """Write a state under `target`; files whose folder is not there are lost."""
    reachable = {root}
    for folder in sorted(folders):
        if folder.parent in reachable:
            reachable.add(folder)
            (target / folder.relative_to(root)).mkdir(parents=True, exist_ok=True)
    target.mkdir(parents=True, exist_ok=True)
    for path, data in files.items():
        if path.parent in reachable:
            (target / path.relative_to(root)).write_bytes(data)


def dropping(calls, unwanted):
    """Return the calls without those numbered in `unwanted`."""
    return [call for number, call in enumerate(calls) if number not in unwanted]
