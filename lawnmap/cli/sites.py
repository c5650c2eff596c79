"""``lawnmap sites``."""

from __future__ import annotations

import datetime as dt
import os
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from lawnmap.cli import options
from lawnmap.cli.talk import Talk

if TYPE_CHECKING:
    from lawnmap.cli.sites_watch import Watch
    from lawnmap.jobs.sites.folders import Wanted
    from lawnmap.jobs.sites.run import Reply
    from lawnmap.jobs.sites.table.laying import Reading

HOW = [
    click.option(
        "--workers",
        type=click.IntRange(1, 64),
        metavar="N",
        help="Processes that work side by side; otherwise one a core, and one alone for few sites.",
    ),
    click.option(
        "--apart",
        is_flag=True,
        help="Let each site have days as if it were alone; otherwise the sites of a depot share "
        "its people, machines and days.",
    ),
    click.option("--afresh", is_flag=True, help="Forget what was worked out before."),
    click.option(
        "--force", is_flag=True, help="Write into a folder that holds something else already."
    ),
]
OF_A_TABLE = [
    click.option("--layer", metavar="NAME", help="Of a table: which layer of the file."),
    click.option(
        "--rename",
        multiple=True,
        metavar="OURS=THEIRS",
        help="Of a table: what a column of ours is called there, such as moss_rating=MOSS.",
    ),
    click.option("--crs", help="Of a table: where it lies, when the file does not say."),
    click.option(
        "--features",
        type=click.Path(),
        metavar="FILE",
        help="Of a table: a second one of what else is mapped on the sites, such as beds, trees, "
        "water and drains.",
    ),
    click.option("--features-layer", metavar="NAME", help="Of --features: which layer."),
    click.option(
        "--features-rename",
        multiple=True,
        metavar="OURS=THEIRS",
        help="Of --features: what a column of ours is called there, such as feature=KIND.",
    ),
    click.option("--features-crs", help="Of --features: where it lies, when it does not say."),
    click.option(
        "--choices",
        type=click.Path(),
        metavar="FILE",
        help="Of a table: a specification.toml for all its zones.",
    ),
    click.option(
        "--engine",
        type=click.Choice(["dask"]),
        help="Of a table: what works on its parts; otherwise this process. Dask needs "
        "lawnmap[dask].",
    ),
    click.option(
        "--scheduler",
        metavar="ADDRESS",
        help="Of a table: a Dask scheduler that runs already.",
    ),
    click.option(
        "--into",
        metavar="ADDRESS",
        help="Of a table: a database that gets the results as well; needs a plugin for it.",
    ),
    click.option(
        "--into-layer",
        metavar="NAME",
        help="Of --into: what the results are kept under there; otherwise lawnmap.",
    ),
]
FEATURES = ("features", "features_layer", "features_rename", "features_crs")
TABLE = (
    "layer",
    "rename",
    "crs",
    *FEATURES,
    "choices",
    "engine",
    "scheduler",
    "into",
    "into_layer",
)


@click.command()
@click.argument("source", type=click.Path())
@click.option(
    "-o", "--output", required=True, type=click.Path(), help="Folder for what they come to."
)
@options.DEPOT
@options.TODAY
@options.several(HOW)
@options.several(OF_A_TABLE)
@options.UNITS
@options.talking
def sites(
    talk: Talk,
    source: str,
    output: str,
    depot: str | None,
    today: dt.date,
    **chosen: Any,
) -> None:
    """Plan many sites at once: quantities, hours, shopping and machine-days.

    SOURCE is a folder with site folders below it, at any depth; or a table of zones of very many
    sites (GeoParquet, GeoPackage, FlatGeobuf, GeoJSON a line, or an address for which a plugin is
    installed). One site that cannot be planned never stops the others: it is listed with its error,
    and the exit code is then 3. What is worked out is kept beside the results, and done again only
    when something it rests on has changed; so a run that was stopped goes on where it was.

    Example: lawnmap sites gardens -o october --today 2026-10-01
    """
    from lawnmap.agronomy.unit_systems import METRIC
    from lawnmap.cli import sites_text
    from lawnmap.cli.log import faults_noted
    from lawnmap.cli.sites_watch import Watch, interrupted
    from lawnmap.files.admit import is_address
    from lawnmap.jobs.sites.folders import Wanted
    from lawnmap.store.folder import SITE

    table = {name: given for name in TABLE if (given := chosen.pop(name))}
    force, units = chosen.pop("force"), chosen.pop("units")
    chosen["workers"] = chosen["workers"] or 0
    personal, home = Path(click.get_app_dir("lawnmap")), Path(depot) if depot else None
    wanted = Wanted(today, personal, home, units=units or METRIC, **chosen)
    source = str(Path(source).parent) if Path(source).name == SITE else source
    with faults_noted("sites"), Watch(talk) as watch, interrupted(talk, watch, output):
        if is_address(source) or os.path.isfile(source):  # noqa: PTH113 - never raises
            reply = _of_table(source, Path(output), wanted, table, watch, force=force)
        else:
            reply = _of_folder(Path(source), Path(output), wanted, table, watch, force=force)
    talk.warn(*reply.notes)
    talk.result(sites_text.data(reply), sites_text.text(reply, units))
    if reply.troubles:
        raise click.exceptions.Exit(sites_text.code(reply))


def _of_folder(
    source: Path, output: Path, wanted: Wanted, given: Mapping[str, Any], watch: Watch, *,
    force: bool,
) -> Reply:  # fmt: skip
    from lawnmap.jobs.sites.run import run

    if given:
        option = next(iter(given)).replace("_", "-")
        raise click.UsageError(f"--{option} is for a table, and SOURCE is none")
    return run(source, output, wanted, watch, force=force)


def _of_table(
    source: str, output: Path, wanted: Wanted, given: Mapping[str, Any], watch: Watch, *,
    force: bool,
) -> Reply:  # fmt: skip
    from lawnmap.jobs.sites.table.run import Asked, run

    _refuse_lonely(given)
    if wanted.apart:
        raise click.UsageError("--apart is for a folder of sites; those of a table have no days")
    if wanted.workers > 1 and "engine" not in given:
        raise click.UsageError("--workers of a table are those of --engine dask")
    if "scheduler" in given and "engine" not in given:
        raise click.UsageError("--scheduler is for --engine dask")
    rest = {name: value for name, value in given.items() if name not in FEATURES}
    choices = Path(given["choices"]) if "choices" in given else None
    own = {"rename": _named(given, "rename"), "choices": choices, "features": _beside(given)}
    watch.what = "Parts"
    return run(source, output, wanted, Asked(**{**rest, **own}), watch, force=force)


def _refuse_lonely(given: Mapping[str, Any]) -> None:
    """Refuse an option that says more of one that was not given."""
    for name in given:
        whose, further, _ = name.partition("_")
        if further and whose not in given:
            option = name.replace("_", "-")
            raise click.UsageError(f"--{option} is for --{whose}, and there is none")


def _beside(given: Mapping[str, Any]) -> Reading | None:
    """Return the second table, of what else is mapped."""
    from lawnmap.jobs.sites.table.laying import Reading

    if "features" not in given:
        return None
    return Reading(
        given["features"],
        given.get("features_layer"),
        _named(given, "features_rename"),
        given.get("features_crs"),
    )


def _named(given: Mapping[str, Any], option: str) -> dict[str, str] | None:
    return dict(_parted(pair) for pair in given.get(option, ())) or None


def _parted(pair: str) -> tuple[str, str]:
    ours, found, theirs = pair.partition("=")
    if not (found and ours and theirs):
        raise click.UsageError(f"--rename takes OURS=THEIRS, and {pair!r} is not that")
    return ours, theirs
