"""``lawnmap calibrate``."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import click

from lawnmap.cli import options
from lawnmap.cli.talk import Talk


def _given(_: click.Context, __: click.Parameter, texts: tuple[str, ...]) -> dict[str, str]:
    """Return the measurements by name; each stands once."""
    found: dict[str, str] = {}
    for text in texts:
        name, equals, value = text.partition("=")
        if not equals or not name.strip():
            raise click.BadParameter(f'{text!r} is not NAME=VALUE: write width="1 m"')
        if name.strip() in found:
            raise click.BadParameter(f"{name.strip()} stands twice: write it once")
        found[name.strip()] = value.strip()
    return found


@click.command()
@click.argument("kind", type=click.Choice(["knapsack", "sprayer", "can", "drop", "rotary"]))
@click.argument("measured", nargs=-1, callback=_given, metavar="NAME=VALUE…")
@click.option("--applicator", required=True, help="Its name, as in machines.toml.")
@click.option("--operator", default="", help="Who walked.")
@click.option("--nozzle", default="", help="Which nozzle was on.")
@click.option("--pressure", default="", help="Pressure with its unit: 2 bar.")
@click.option("--setting", default="", help="What the dial of a spreader stood at.")
@click.option("--product", default="", help="What was spread.")
@options.DEPOT
@options.TODAY
@click.option("--dry-run", is_flag=True, help="Work it out and keep nothing.")
@options.talking
def calibrate(
    talk: Talk, kind: str, measured: dict[str, str], depot: str | None, today: dt.date,
    *, dry_run: bool, **setup: str,
) -> None:  # fmt: skip
    """Work out what an applicator puts on from a catch test, and keep it in your depot.

    Every VALUE has its unit; a gallon, pint or fluid ounce is US or imperial. Several catches in
    one have semicolons between: caught="0.74; 0.75; 0.71 l". docs/calibration.md tells what to
    measure for each kind.

    Example: lawnmap calibrate knapsack width="1 m" length="10 m" caught="400 ml" --applicator Mine
    """
    from lawnmap.cli import calibrate_text
    from lawnmap.jobs import calibrate as job

    folder = job.where(
        Path(), given=Path(depot) if depot else None, personal=Path(click.get_app_dir("lawnmap"))
    )
    reply = job.calibrate(
        kind, measured, job.Setup(**setup), depot=folder, day=today, dry_run=dry_run
    )
    talk.warn(*reply.warnings)
    talk.result(calibrate_text.data(reply), calibrate_text.text(reply))
