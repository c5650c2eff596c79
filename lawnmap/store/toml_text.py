"""TOML 1.0 written by a person: read here, never rewritten."""

from __future__ import annotations

import re
import tomllib
from typing import Any

from lawnmap.errors import InputRefused

LARGEST = 1_000_000
WHERE = re.compile(r"^(?P<problem>.*?) \(at (?P<place>.*)\)$", re.DOTALL)


def loads(data: bytes, *, name: str) -> dict[str, Any]:
    """Return the table in `data`.

    Raises
    ------
    InputRefused
        With line and column, or the byte, where it is not TOML.
    """
    try:
        return tomllib.loads(data.removeprefix(b"\xef\xbb\xbf").decode("utf-8"))
    except UnicodeDecodeError as error:
        raise InputRefused(
            f"is not UTF-8 (byte {error.start + 1})", file=name, remedy="Save it as UTF-8."
        ) from error
    except tomllib.TOMLDecodeError as error:
        match = WHERE.match(str(error))
        problem, place = match.group("problem", "place") if match else (str(error), "")
        raise InputRefused(
            f"is not TOML: {problem[:1].lower()}{problem[1:]}",
            file=name,
            place=place,
            remedy='Text stands in "quotes"; true, false, numbers and days stand without.',
        ) from error
    except (RecursionError, ValueError) as error:  # brackets without end; digits without end
        raise InputRefused(
            f"is not TOML that can be read ({type(error).__name__})",
            file=name,
            remedy="Look for brackets or digits that go on and on.",
        ) from error
