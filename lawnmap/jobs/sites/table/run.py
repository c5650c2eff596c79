"""Many sites from one table of zones: read in batches, worked in partitions, summed.

Nothing is held of all zones at once but a number for each of them, by which their sites are told
apart. What becomes of partitions is in :mod:`lawnmap.jobs.sites.table.results`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from lawnmap.errors import InputRefused
from lawnmap.files.admit import is_address, read_regular
from lawnmap.jobs.choices import owned
from lawnmap.jobs.sites import resting
from lawnmap.jobs.sites.door import address
from lawnmap.jobs.sites.door.trouble import Skipped
from lawnmap.jobs.sites.engine import cluster, local, partitions
from lawnmap.jobs.sites.engine.task import Progress
from lawnmap.jobs.sites.engine.whole_sites import Reduced, WholeSites
from lawnmap.jobs.sites.finding import as_text
from lawnmap.jobs.sites.folders import Wanted, Watcher
from lawnmap.jobs.sites.kept import Kept
from lawnmap.jobs.sites.partition import Terms
from lawnmap.jobs.sites.run import Reply, refuse_out
from lawnmap.jobs.sites.table import into, marked, results
from lawnmap.jobs.sites.table.laying import Reading, laid_out
from lawnmap.jobs.sites.written import written
from lawnmap.model import Specification
from lawnmap.store import depot as depots
from lawnmap.store import specification, toml_text
from lawnmap.store.inside import ANEW

PARTITION = 50_000  # zones
DASK = "dask"


@dataclass(frozen=True)
class Asked:
    """How a table is read and worked.

    Attributes
    ----------
    layer : str or None
        Of a file with several.
    rename : dict of str to str
        The file's name for a column of ours.
    crs : str or None
        Of a file that does not say.
    features : Reading or None
        A second table: what else is mapped on the sites.
    choices : Path or None
        A ``specification.toml`` for all zones; else the choices of a new site.
    engine : str
        ``dask``, or empty for this process.
    scheduler : str
        Address of a Dask scheduler; without it workers are started here.
    into : str
        Address at which the tables are put as well, by a plugin; may be empty.
    into_layer : str or None
        What they are kept under there.
    """

    layer: str | None = None
    rename: Mapping[str, str] | None = None
    crs: str | None = None
    features: Reading | None = None
    choices: Path | None = None
    engine: str = ""
    scheduler: str = ""
    into: str = ""
    into_layer: str | None = None


def run(
    source: Path | str,
    out: Path,
    wanted: Wanted,
    asked: Asked,
    watcher: Watcher,
    *,
    force: bool = False,
) -> Reply:
    """Work out the sites of a table, and write what they come to.

    Parameters
    ----------
    source : Path or str
        A file or an address. See :func:`lawnmap.jobs.sites.door.reader.opened`.
    out : Path
        The folder of results; it is made when it is not there.
    wanted : Wanted
    asked : Asked
    watcher : Watcher
        Who is told how many partitions are done.
    force : bool
        Whether results may go into a folder that holds something else.

    Returns
    -------
    Reply

    Raises
    ------
    InputRefused
        For a table, choices or a depot that cannot be read.
    UsageProblem, Busy, WriteFailed
        As :func:`lawnmap.jobs.sites.run.run` does.
    """
    refuse_out(out, force=force)
    choices = _choices(asked)
    if asked.into:
        address.sink(asked.into)  # better refused now than after an hour
    home = depots.find(_near(source), given=wanted.depot, personal=wanted.personal)
    terms = Terms(_specification(choices, home, wanted))
    with Kept(out).held():
        zones = Reading(source, asked.layer, asked.rename, asked.crs)
        room = marked.laid(out)
        note = laid_out(zones, asked.features, room, most=PARTITION, afresh=wanted.afresh)
        worked = marked.tables(out)
        digest = marked.of_texts(
            [resting.of_run(wanted.today), repr(terms.specification), note["digest"]]
        )
        if wanted.afresh or worked.told(digest) is None:
            worked.emptied()
            worked.mark(digest, {})
        for each in (room, worked):
            partitions.swept(each.folder)
        task = WholeSites(room.folder, worked.folder, terms)
        numbers = partitions.numbers(task.source)
        parts = sorted(_run(numbers, task, asked, wanted, watcher), key=lambda each: each.number)
        skipped = [Skipped(*each) for each in note["skipped"]]
        made = results.tables(worked.folder, parts, terms.specification, skipped, note["of_site"])
        files, told = written(
            made,
            out,
            title=_title(source, asked),
            today=wanted.today,
            units=wanted.units,
            choices=terms.specification.choices,
            cautions=tuple(note["cautions"]),
            beside={},
        )
        listed, more = results.listed(skipped, out)
        told += more
        if asked.into:
            told += into.put(asked.into, made, worked.folder, asked.into_layer)
    return Reply(
        made,
        results.troubles(made["sites"]),
        str((terms.specification.choice("money") or {}).get("currency") or ""),
        (*files, *listed),
        (*note["told"], *note["cautions"], *told),
        table=True,
    )


def _choices(asked: Asked) -> bytes:
    if asked.choices is None:
        return b""
    return read_regular(asked.choices, limit=toml_text.LARGEST, remedy=ANEW)


def _specification(choices: bytes, home: Path | None, wanted: Wanted) -> Specification:
    products, machines = owned(home, today=wanted.today)
    made = specification.parse(choices, products=products, machines=machines)
    if made.by_zone:
        raise InputRefused(
            f"has choices for single zones ({', '.join(made.by_zone)}), and a table has many sites",
            file=specification.NAME,
            remedy="Say it in columns of the table, such as iron or turf_type, and take "
            "[zones.…] out.",
        )
    return replace(made, choices={**made.choices, "today": wanted.today})


def _near(source: Path | str) -> Path:
    """Return the folder at or above which the depot of a table is."""
    return Path() if is_address(str(source)) else Path(source).parent


def _title(source: Path | str, asked: Asked) -> str:
    if is_address(str(source)):
        return as_text(asked.layer or address.shown(str(source)))
    return as_text(Path(source).stem)


def _run(
    numbers: list[int], task: WholeSites, asked: Asked, wanted: Wanted, watcher: Watcher
) -> Iterator[Reduced]:
    """Yield the partitions: first those that were worked before, then the others as they are."""
    done = [each for each in map(task.done, numbers) if each is not None]
    watcher.begin(len(numbers), len(done))
    yield from done
    left = sorted(set(numbers) - {each.number for each in done})
    progress: Progress = lambda _done, _of: watcher.done(None)  # noqa: E731 - a name for its type
    if asked.engine != DASK:
        yield from local.run(left, task, progress=progress)
        return
    workers = wanted.workers or 2
    yield from cluster.run(
        left, task, workers=workers, scheduler=asked.scheduler, progress=progress
    )
