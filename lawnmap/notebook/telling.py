"""What the command line says as notes and options, as Python says it: warnings and arguments."""

from __future__ import annotations

import functools
import re
import warnings
from collections.abc import Callable, Iterable
from typing import ParamSpec, TypeVar

from lawnmap.errors import LawnmapError, Note, printable

Given = ParamSpec("Given")
Made = TypeVar("Made")

# Options of the command line that are arguments here. Others are left as they are.
ARGUMENTS = {
    "--as": "kind=",
    "--audience": "audience=",
    "--control": "control=",
    "--crs": "crs=",
    "--depot": "depot=",
    "--fit": "fit=",
    "--force": "force=True",
    "--into": "into=",
    "--language": "language=",
    "--layer": "layer=",
    "--repair": "repair=True",
    "--skip-bad": "skip_bad=True",
    "--to": "to=",
    "--units": "units=",
    "--with": "also=",
}
VALUES = re.compile(r"--(crs|as|to) (local|zone|map|gpkg)\b")
OPTION = re.compile(r"--[a-z][a-z-]*")


def told_for_python(work: Callable[Given, Made]) -> Callable[Given, Made]:
    """Return a function whose errors name its arguments where they named options.

    Parameters
    ----------
    work : callable

    Returns
    -------
    callable
        Of the same signature.

    Notes
    -----
    Ours say all that is to be said, so the way they came through lawnmap is not shown; that of a
    fault, which is no :class:`LawnmapError`, is.
    """

    @functools.wraps(work)
    def run(*args: Given.args, **kwargs: Given.kwargs) -> Made:
        try:
            return work(*args, **kwargs)
        except LawnmapError as error:
            error.problem, error.remedy = map(in_python, (error.problem, error.remedy))
            raise error.with_traceback(None)  # noqa: B904 - it is the same error

    return run


def in_python(text: str) -> str:
    """Return a sentence with the arguments of functions for the options of commands.

    Parameters
    ----------
    text : str
        Of an error.

    Returns
    -------
    str

    Examples
    --------
    >>> in_python("Give --crs (such as EPSG:27700), or --crs local.")
    'Give crs= (such as EPSG:27700), or crs="local".'
    """
    valued = VALUES.sub(lambda found: f'{ARGUMENTS["--" + found[1]]}"{found[2]}"', text)
    return OPTION.sub(lambda found: ARGUMENTS.get(found[0], found[0]), valued)


def note(texts: Iterable[str], *, above: int = 3) -> None:
    """Warn of what a person should know, at the line that called.

    Parameters
    ----------
    texts : iterable of str
        Whole sentences.
    above : int
        How many calls up that line is.
    """
    for text in texts:
        warnings.warn(printable(in_python(text)), Note, stacklevel=above + 1)
