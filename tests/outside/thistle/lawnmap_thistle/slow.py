"""A command whose import takes a minute, when it is asked to."""

import os
import time

import click

if os.environ.get("THISTLE_SLEEPS"):
    time.sleep(60)


@click.command()
def command():
    """Prick."""
    raise KeyError("prickle")
