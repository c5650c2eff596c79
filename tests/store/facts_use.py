"""Use a damaged file in a garden, and look at what it did: nothing that was refused changed any."""

import tempfile
import time
import traceback
from contextlib import contextmanager
from functools import cache
from pathlib import Path

from lawnmap.errors import LawnmapError
from tests.readers.mutants import unforeseen
from tests.store.facts_garden import Garden, garden
from tests.store.facts_kinds import KINDS

SLOW_S = 5.0


class Bench:
    """A garden in which one kind of file is put to use again and again."""

    def __init__(self, name, made):
        self.kind, self.garden = KINDS[name], made
        self.good = self.kind.good(self.garden)
        self.path = self.kind.path(self.garden)
        self.state = self.garden.state()

    def of(self, name):
        """Return a bench of another kind in the same garden."""
        return Bench(name, self.garden)

    def take(self, data, *, planned=False, said=None):
        """Put other content into the file and use it; tell whether it was taken.

        What is told of a refusal is put into the list `said`.

        Raises
        ------
        AssertionError
            For what may not be raised, a file that was changed, or what is not sound.
        """
        file = self.kind.file(data)
        self.path.write_bytes(file)
        now = {**self.state, str(self.path): file}
        try:
            self.kind.use(self.garden)
            if planned and self.kind.planned:
                self.garden.planned()
        except LawnmapError as error:
            self._refused(error)
            if said is not None:
                said.append(str(error))
            assert self.garden.state() == now, "what was refused changed a file"
            return False
        else:
            if not self.kind.writes:
                assert self.garden.state() == now, "what was taken changed a file"
            return True
        finally:
            self.garden.put_back(self.state)

    def _refused(self, error):
        told = str(error)
        assert isinstance(error, self.kind.refused), f"{type(error).__name__}: {told}"
        assert not unforeseen(error), unforeseen(error)
        assert told.isprintable()
        assert error.file or error.place, f"no file in: {told}"


@cache
def _files():
    """Return the files of a garden by their path from its depot; to make one takes a second."""
    with tempfile.TemporaryDirectory() as name:
        depot = Path(name) / "depot"
        state = garden(depot).state()
        return {Path(path).relative_to(depot): data for path, data in state.items()}


def copied(depot):
    """Return a garden like any other below a new folder."""
    for name, data in _files().items():
        (depot / name).parent.mkdir(parents=True, exist_ok=True)
        (depot / name).write_bytes(data)
    return Garden(depot)


@contextmanager
def bench(name):
    """Hold a bench in a folder that goes when it is done."""
    with tempfile.TemporaryDirectory() as where:
        yield Bench(name, copied(Path(where) / "depot"))


class Told:
    """What became of many: how many were taken and refused, what was wrong, what was slow."""

    def __init__(self):
        self.taken = self.refused = 0
        self.worst_s = 0.0
        self.wrong, self.slow = [], []

    def add(self, key, take):
        began, worked = time.monotonic(), time.process_time()
        try:
            if take():
                self.taken += 1
            else:
                self.refused += 1
        except Exception as error:  # noqa: BLE001 - that there is none is what is tested
            told = "".join(traceback.format_exception(error)[-6:])
            self.wrong.append((key, told))
        self.worst_s = max(self.worst_s, time.monotonic() - began)
        took = time.process_time() - worked
        if took > SLOW_S:
            self.slow.append((key, round(took, 1)))
