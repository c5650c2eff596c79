"""The door to what others bring: a call is told by its owner, and what comes back is looked at.

A plugin is somebody else's program. Whatever it raises becomes one error that names it, what it
prints goes to standard error, and nothing it gives is used before it has the shape that
``lawnmap/plugins.py`` asks for. The checks look at whole columns, so that ten thousand zones cost
what one does.
"""

from __future__ import annotations

import contextlib
import re
import sys
import threading
from collections.abc import Callable, Collection, Iterator, Mapping
from typing import Any, TextIO

from lawnmap import schema
from lawnmap.errors import LawnmapError, PluginProblem
from lawnmap.outside.unfit import Unfit

SUFFIX = re.compile(r"(\.[A-Za-z0-9_-]{1,16}){1,2}")
LONGEST = 200  # characters of what a plugin says of itself
DOING = {
    "look": "list its layers",
    "read": "read",
    "steps": "work out its steps",
    "render": "render",
    "source": "open its table",
}
UNKNOWN = "What it did up to then is not known."
FAULT = 1  # the exit code of errors that are nobody's input


class _Aside:
    """Sends what a plugin prints to standard error; several may run at once, in threads."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._within = 0
        self._out: TextIO = sys.stdout

    def __enter__(self) -> None:
        with self._lock:
            if not self._within:
                self._out, sys.stdout = sys.stdout, sys.stderr
            self._within += 1

    def __exit__(self, *_: object) -> None:
        with self._lock:
            self._within -= 1
            if not self._within:
                sys.stdout = self._out


_ASIDE = _Aside()


@contextlib.contextmanager
def told(
    who: str,
    owner: str,
    doing: str,
    *,
    shy: bool = False,
    passing: tuple[type[BaseException], ...] = (),
) -> Iterator[None]:
    """Tell whatever a plugin raises meanwhile as one error that names its owner.

    Parameters
    ----------
    who : str
        ``the treatment 'brushing' from lawnmap-meadow``.
    owner : str
        The distribution that brings it.
    doing : str
        What it cannot do, such as ``load``.
    shy : bool
        Whether what it says of itself is left out, since it may hold a secret.
    passing : tuple of type
        Of a command, which prints as it likes: how it may leave.

    Raises
    ------
    PluginProblem
        An input that it refuses in our own errors stays what it is.
    """
    try:
        with contextlib.nullcontext() if passing else _ASIDE:
            yield
    except passing:
        raise
    except Unfit as error:
        raise PluginProblem(
            f"{who} gives what cannot be used: {error}", remedy=f"Tell the makers of {owner}."
        ) from error
    except (Exception, SystemExit) as error:
        if isinstance(error, LawnmapError) and error.exit_code != FAULT:
            raise
        said = "" if shy else f": {error}"[:LONGEST]
        raise PluginProblem(
            f"{who} will not {doing} ({type(error).__name__}{said})",
            done=UNKNOWN if passing else None,
            remedy=f"Mend or uninstall {owner}; everything else goes on working.",
        ) from (None if shy else error)


class Guarded:
    """A plugin of somebody else: it looks as it is, and each of its calls goes through the door.

    Parameters
    ----------
    plugin : module
    group : str
        Such as ``treatments``.
    who, owner : str
        As :func:`told` takes them.
    """

    def __init__(self, plugin: Any, group: str, who: str, owner: str) -> None:
        self._plugin, self._who, self._owner = plugin, who, owner
        self._calls = CALLS[group]
        self._shy = group == "tables"  # an address may hold a password

    def __getattr__(self, part: str) -> Any:
        """Return a part of the plugin; a call that is ours to make with its guard."""
        if part.startswith("_"):
            raise AttributeError(part)
        if part not in self._calls:
            return getattr(self._plugin, part)
        looked_at = self._calls[part]

        def call(*given: Any, **named: Any) -> Any:
            with told(self._who, self._owner, DOING[part], shy=self._shy):
                mine = [_own(each) for each in given]
                made = getattr(self._plugin, part)(*mine, **named)
                return looked_at(self._plugin, made, *given, **named)

        return call


def parts(plugin: Any, group: str, kinds: Collection[str]) -> None:
    """Check what a plugin says of itself; `kinds` are those of treatments.

    Raises
    ------
    Unfit
    """
    for part in CALLS[group]:
        if not callable(getattr(plugin, part)):
            raise Unfit(f"its {part} cannot be called")
    title = getattr(plugin, "TITLE", None)
    if not isinstance(title, str) or not title.strip():
        raise Unfit("its TITLE is no text")
    if group == "readers":
        if not isinstance(plugin.KINDS, tuple | list) or not isinstance(plugin.CHILD, bool):
            raise Unfit("its KINDS are no tuple of names, or its CHILD is neither True nor False")
    elif group == "treatments":
        _word("KIND", plugin.KIND, kinds)
    elif group == "exports":
        _word("AUDIENCE", plugin.AUDIENCE, schema.AUDIENCES)
        if not isinstance(plugin.SUFFIX, str) or not SUFFIX.fullmatch(plugin.SUFFIX):
            raise Unfit(f"its SUFFIX is {plugin.SUFFIX!r}, and not such as '.html'")


def _word(part: str, said: Any, known: Collection[str]) -> None:
    if said not in known:
        raise Unfit(f"its {part} is {said!r}; it can be: {', '.join(known)}")


def _own(given: Any) -> Any:
    """Return what a plugin may change without changing ours: a table gets columns of its own."""
    return given.copy(deep=False) if hasattr(given, "columns") else given


# What is heavy is imported when there is something to look at, so that --help stays quick.
def _layers(_plugin: Any, given: Any, *_: Any) -> Any:
    from lawnmap.outside import found

    return found.layers(given)


def _found(_plugin: Any, given: Any, *_: Any, crs: str | None = None, **__: Any) -> Any:
    from lawnmap.outside import found

    return found.found(given, crs)


def _steps(plugin: Any, given: Any, zones: Any, specification: Any) -> Any:
    from lawnmap.outside import steps, waterside

    rows = steps.steps(given, zones, specification)
    return waterside.kept_off(rows, zones, specification, plugin.KIND)


def _bytes(_plugin: Any, given: Any, *_: Any) -> bytes:
    if not isinstance(given, bytes):
        raise Unfit(f"render gives {type(given).__name__}, and not bytes")
    if not given:
        raise Unfit("render gives no byte")
    return given


def _source(_plugin: Any, given: Any, *_: Any, **__: Any) -> Any:
    for part in ("keys", "stream", "parsed"):
        if not callable(getattr(given, part, None)):
            raise Unfit(f"what source gives has no {part}")
    return given


# The calls that are ours to make, and who looks at what comes back. What writes to an address is
# not among them: it is handed frames of ours, whose faults are not its own.
CALLS: Mapping[str, Mapping[str, Callable[..., Any]]] = {
    "readers": {"look": _layers, "read": _found},
    "treatments": {"steps": _steps},
    "exports": {"render": _bytes},
    "tables": {"source": _source},
}
