"""Write into docs/python.md what its blocks of code print: ``python docs/python_page.py``.

A fence ``python`` is run, all of them from top to bottom in one session and in a folder of its own;
a fence ``text`` right under it is what it prints.
"""

from __future__ import annotations

import contextlib
import io
import re
import tempfile
import warnings
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pandas as pd

import lawnmap

PAGE = Path(__file__).parent / "python.md"
BLOCK = re.compile(r"```python\n(?P<code>.*?)```(?:\n\n```text\n(?P<shown>.*?)```)?", re.DOTALL)


@contextlib.contextmanager
def session() -> Iterator[dict[str, Any]]:
    """Work in a folder with the sample site that the page speaks of, and quietly."""
    with (
        tempfile.TemporaryDirectory() as folder,
        contextlib.chdir(folder),
        warnings.catch_warnings(),
        pd.option_context("display.width", 100),
    ):
        warnings.simplefilter("ignore", lawnmap.Note)
        lawnmap.start("garden", sample=True)
        yield {}


def printed(code: str, names: dict[str, Any]) -> str:
    """Run one block among the names of those before it, and return what it prints."""
    screen = io.StringIO()
    with contextlib.redirect_stdout(screen):
        exec(compile(code, PAGE.name, "exec"), names)  # noqa: S102 - it is our own page
    return "".join(f"{line.rstrip()}\n" for line in screen.getvalue().splitlines())


def filled(text: str) -> str:
    """Return the page with what its blocks print.

    Raises
    ------
    ValueError
        When a block prints what the page has no place for.
    """
    with session() as names:

        def fill(match: re.Match[str]) -> str:
            told = printed(match["code"], names)
            if match["shown"] is None:
                if told:
                    raise ValueError(f"nothing is shown under {match['code']!r}")
                return match[0]
            return f"```python\n{match['code']}```\n\n```text\n{told}```"

        return BLOCK.sub(fill, text)


if __name__ == "__main__":
    PAGE.write_text(filled(PAGE.read_text(encoding="utf-8")), encoding="utf-8", newline="\n")
