"""The outer net: what a reader did not foresee becomes one plain refusal, never a traceback."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import TYPE_CHECKING, Any, TypeVar, cast

from lawnmap.errors import InputRefused, LawnmapError

if TYPE_CHECKING:
    from lawnmap.files.admit import Source

F = TypeVar("F", bound=Callable[..., Any])


def netted(function: F) -> F:
    """Wrap ``look`` or ``read`` so that nothing but LawnmapError comes out of it.

    The parsers below a reader raise eight kinds of exception on damaged files, some of them
    undocumented. The original is kept as the cause, for the log. An error that does not yet name
    its file is given the source's.
    """

    @wraps(function)
    def guarded(source: Source, **options: Any) -> Any:
        try:
            return function(source, **options)
        except LawnmapError as error:
            error.within(file=source.name)
            raise
        except Exception as error:
            raise InputRefused(
                f"could not be read ({type(error).__name__})",
                file=source.name,
                remedy="Export the plan again, or save it in another format.",
            ) from error

    return cast("F", guarded)
