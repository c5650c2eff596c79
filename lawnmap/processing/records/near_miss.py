"""What was probably meant by a name that there is not."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches

from lawnmap.errors import InputRefused

SHOWN = 20


def meant(name: str, known: Iterable[str], *, what: str) -> str:
    """Return the end of a message: the name that was probably meant, else all there are.

    Examples
    --------
    >>> meant("mian", ["main", "terrace"], what="The zones are")
    'Did you mean main?'
    >>> meant("pool", ["main", "terrace"], what="The zones are")
    'The zones are: main, terrace.'
    """
    known = list(known)
    low = {each.casefold(): each for each in known}
    key = name.casefold()
    near = get_close_matches(key, low, n=2, cutoff=0.6)
    near += [each for each in low if key and key in each and each not in near][:2]
    if near:
        return f"Did you mean {' or '.join(low[each] for each in near[:2])}?"
    if not known:
        return ""
    more = "" if len(known) <= SHOWN else ", …"
    return f"{what}: {', '.join(known[:SHOWN])}{more}."


def one_of(name: str, known: Iterable[str], *, unknown: str, what: str, remedy: str = "") -> str:
    """Return the known name that was typed, whatever the case of its letters.

    Parameters
    ----------
    name : str
        As it was typed.
    known : iterable of str
    unknown : str
        What is wrong when there is none, as the problem of an error.
    what : str
        What is named, for the error.
    remedy : str
        What to do when nothing is near.

    Raises
    ------
    InputRefused
        With `unknown` as the problem and what was probably meant, when there is none.
    """
    known = list(known)
    if name in known:
        return name
    same = [each for each in known if each.casefold() == name.casefold()]
    if len(same) == 1:
        return same[0]
    told = " ".join(part for part in (meant(name, known, what=what), remedy) if part)
    raise InputRefused(unknown, remedy=told)
