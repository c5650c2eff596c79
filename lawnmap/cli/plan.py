"""``lawnmap plan``."""

from __future__ import annotations

import datetime as dt

import click

from lawnmap.cli import options
from lawnmap.cli.talk import Talk


@click.command()
@options.SITE
@options.DEPOT
@options.TODAY
@options.UNITS
@click.option("--zone", help="Show one zone only.")
@click.option(
    "--why",
    metavar="ZONE",
    help="Trace every number of one zone: its rule, what went into it and where that came from, "
    "published values with source and standing.",
)
@click.option(
    "--prove",
    metavar="SECONDS",
    type=click.FloatRange(1, 3600),
    help="Look for better days for so long, and say what is proven. Needs lawnmap[schedule].",
)
@options.SETTING_OUT
@options.talking
def plan(
    talk: Talk,
    site: str,
    depot: str | None,
    today: dt.date,
    units: str,
    zone: str | None,
    why: str | None,
    prove: float | None,
    setting_out: bool,
) -> None:
    """Work out treatments and quantities for every zone.

    The plan is not stored: it is worked out from the site and its specification each time. Keep
    what you hand over with lawnmap issue.

    Example: lawnmap plan garden --why front-west
    """
    from lawnmap.cli import plan_text, trace_text, working
    from lawnmap.jobs.trace import named, trace

    _, made = working.planned(
        talk,
        site,
        depot,
        today,
        units=units,
        prove_seconds=prove or 0.0,
        setting_out=setting_out or None,
    )
    if why is not None:
        found, numbers = named(made, why), trace(made, why)
        talk.result(trace_text.data(found, numbers), trace_text.text(found, numbers))
        return
    made = plan_text.narrowed(made, zone)
    talk.result(
        plan_text.data(made), plan_text.text(made, units or made.specification.choice("units"))
    )
