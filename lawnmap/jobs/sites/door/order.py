"""Rows of whole sites, whatever the order of the file, in bounded memory.

Eight bytes a row are kept, a hash of its site: enough to tell whether the rows of each site stand
together and where a batch may end. Where they do not, the rows are dealt into files on disk by that
hash, each small enough to be sorted in memory. A hash that two sites share puts them side by side
at worst.
"""

from __future__ import annotations

import contextlib
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from lawnmap.errors import InputRefused
from lawnmap.files.commit import write_failed
from lawnmap.files.limits import BULK
from lawnmap.jobs.sites.door.arrow import pa
from lawnmap.jobs.sites.door.names import Hashes, places

ROW = "row"

MOST_PILES = 256
PILE_ROWS = 65_536
HASH_BITS = 64


class Piece(NamedTuple):
    """Raw rows of a batch.

    Attributes
    ----------
    rows : Table
        With the column ``row``, the place in the file from 1.
    crowded : (n,) array of bool
        Whether a row is of a site with more zones than are taken.
    """

    rows: pa.Table
    crowded: npt.NDArray[np.bool_]


def grouped(hashes: Hashes) -> bool:
    """Tell whether the rows of each site stand together."""
    first = hashes[_starts(hashes)]
    return len(np.unique(first)) == len(first)


def cuts(hashes: Hashes, size: int) -> list[int]:
    """Return where batches of whole sites end: after `size` rows at most, or after one site.

    A site with more zones than are taken is left out, so it may be cut.
    """
    ends = np.append(_starts(hashes)[1:], len(hashes))
    longest = max(size, BULK.zones)
    found = [0]
    while found[-1] < len(hashes):
        here = found[-1]
        place = max(
            int(np.searchsorted(ends, here + size, side="right")) - 1,
            int(np.searchsorted(ends, here, side="right")),
        )
        found.append(min(int(ends[place]), here + longest))
    return found[1:]


def in_order(stream: Iterator[pa.RecordBatch], hashes: Hashes, size: int) -> Iterator[Piece]:
    """Yield the rows of a grouped file, cut between sites."""
    crowded = _crowded(hashes)
    ends = cuts(hashes, size)
    held: list[pa.RecordBatch] = []
    many, start = 0, 0
    for batch in _numbered(stream):
        held.append(batch)
        many += len(batch)
        while ends and many >= ends[0] - start:
            whole = pa.Table.from_batches(held)
            end = ends.pop(0)
            yield Piece(whole.slice(0, end - start), crowded[start:end])
            held = whole.slice(end - start).to_batches()
            many -= end - start
            start = end
    if ends or many:
        raise changed()


def dealt(
    stream: Iterator[pa.RecordBatch], hashes: Hashes, size: int, scratch: Path | None
) -> Iterator[Piece]:
    """Yield the rows of a file in any order, site by site in the order of the hashes.

    Parameters
    ----------
    stream : iterator of RecordBatch
    hashes : (n,) array
    size : int
    scratch : Path or None
        Where the dealt rows lie meanwhile: as much as the file holds. The system's own place when
        None.
    """
    try:
        # Scratch, and no result: what a killed run leaves of it goes when the folder is emptied.
        with tempfile.TemporaryDirectory(prefix="lawnmap-", dir=scratch) as made:
            for path in _deal(stream, hashes, Path(made)):
                yield from _sorted(path, hashes, size)
    except OSError as error:
        raise write_failed(
            scratch or Path(tempfile.gettempdir()), error, done="The rows were not sorted."
        ) from error


def _sorted(path: Path, hashes: Hashes, size: int) -> Iterator[Piece]:
    """Yield the rows of a pile site by site, and take it away."""
    with pa.memory_map(str(path)) as source, pa.ipc.open_stream(source) as reader:
        pile = reader.read_all()
    own = hashes[pile.column(ROW).to_numpy() - 1]
    order = np.argsort(own, kind="stable")
    pile, own = pile.take(order), own[order]
    path.unlink()
    crowded = _crowded(own)
    start = 0
    for end in cuts(own, size):
        yield Piece(pile.slice(start, end - start), crowded[start:end])
        start = end


def changed() -> InputRefused:
    """Return the refusal of a file whose rows are not those that were counted."""
    return InputRefused(
        "was changed while it was being read, or is damaged",
        remedy="Wait until it is whole, and run it again; else export it again.",
    )


def _starts(hashes: Hashes) -> npt.NDArray[np.intp]:
    """Return where runs of one site begin."""
    if not len(hashes):
        return np.zeros(0, dtype=np.intp)
    return np.concatenate([[0], np.flatnonzero(hashes[1:] != hashes[:-1]) + 1])


def _crowded(hashes: Hashes) -> npt.NDArray[np.bool_]:
    """Tell which rows are of a site with more zones than are taken."""
    starts = _starts(hashes)
    lengths = np.diff(np.append(starts, len(hashes)))
    return np.repeat(lengths > BULK.zones, lengths)


def _numbered(stream: Iterator[pa.RecordBatch]) -> Iterator[pa.RecordBatch]:
    """Give each row its place in the file, from 1."""
    before = 0
    for batch in stream:
        numbers = places(before, len(batch))
        before += len(batch)
        yield batch.append_column(ROW, pa.array(numbers))


def _deal(stream: Iterator[pa.RecordBatch], hashes: Hashes, folder: Path) -> list[Path]:
    """Write each row to the file that its hash names; return the files in order."""
    bits = int(np.ceil(np.log2(np.clip(len(hashes) / PILE_ROWS, 1, MOST_PILES))))
    paths = [folder / f"{number:03d}.arrow" for number in range(2**bits)]
    writers: dict[int, pa.ipc.RecordBatchStreamWriter] = {}
    done = 0
    with contextlib.ExitStack() as stack:
        for batch in _numbered(stream):
            own = hashes[done : done + len(batch)]
            if len(own) < len(batch):
                raise changed()
            done += len(batch)
            pile = (own >> np.uint64(HASH_BITS - bits)).astype(np.intp) if bits else own * 0
            order = np.argsort(pile, kind="stable")
            dealt_out = batch.take(pa.array(order))
            numbers, starts = np.unique(pile[order], return_index=True)
            for number, start, end in zip(numbers, starts, [*starts[1:], len(batch)], strict=True):
                if int(number) not in writers:
                    sink = stack.enter_context(pa.OSFile(str(paths[int(number)]), "wb"))
                    writer = pa.ipc.new_stream(sink, dealt_out.schema)
                    writers[int(number)] = stack.enter_context(writer)
                writers[int(number)].write_batch(dealt_out.slice(start, end - start))
    if done != len(hashes):
        raise changed()
    return [path for number, path in enumerate(paths) if number in writers]
