"""Pages as they are run: what they show typed and printed, and what is printed in truth.

A fence ``console`` holds commands, each on a line that begins with ``$ lawnmap``, and under each
what it prints, notes and errors too. A line ``…`` stands for any lines, ``…`` within a line for any
characters. A command that is refused is followed by its exit code, as ``(exit 3)``. A fence whose
head names a file, such as ``csv lawn.csv``, shows lines of that sample, or is that file when there
is no such sample. Pages are run from top to bottom in a copy of their samples: those of the plans
for docs/plans, and docs/scenarios itself for scenarios, each of which has a folder there.
"""

from __future__ import annotations

import contextlib
import io
import os
import re
import shlex
import shutil
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from unittest import mock

from lawnmap.cli.main import run as lawnmap

DOCS = Path(__file__).parent
SAMPLES = DOCS.parent / "sample_geo" / "plans"
SCENARIOS = DOCS / "scenarios"
CONTENTS = SCENARIOS / "index.md"  # lists the scenarios and runs nothing
ALONE = {DOCS / each for each in ("surveys.md", "calibration.md", "sampling.md", "sites.md")}
PAGES = sorted({*(DOCS / "plans").glob("*.md"), *SCENARIOS.glob("*.md"), *ALONE} - {CONTENTS})

ANY = "…"
PROMPT = "$ "
FENCE = "```"


@dataclass(frozen=True)
class Run:
    """One command of a page, the lines shown under it, and where these stand in the page.

    `first` is the index of the first of those lines in the page, counted from 0.
    """

    command: str
    shown: tuple[str, ...]
    first: int


@dataclass(frozen=True)
class Difference:
    """A command that prints something else than its page shows."""

    command: str
    shown: tuple[str, ...]
    printed: tuple[str, ...]

    def __str__(self) -> str:
        """Return both, one under the other."""
        return "\n".join(
            [f"{PROMPT}{self.command}", "shown:", *self.shown, "printed:", *self.printed]
        )


def samples_of(page: Path) -> Path:
    """Return the folder whose copy a page is run in."""
    return SCENARIOS if page.parent == SCENARIOS else SAMPLES


def fences(text: str) -> Iterator[tuple[str, int, list[str]]]:
    """Yield the head of each fence, the index of its first line in the page, and its lines."""
    head: str | None = None
    first, inside = 0, []
    for index, line in enumerate(text.splitlines()):
        if line.startswith(FENCE) and head is None:
            head, first, inside = line.removeprefix(FENCE).strip(), index + 1, []
        elif line.startswith(FENCE):
            yield str(head), first, inside
            head = None
        elif head is not None:
            inside.append(line)


def runs(text: str) -> list[Run]:
    """Return the commands of a page in order, with what it shows of each."""
    found = []
    for head, first, lines in fences(text):
        if head != "console":
            continue
        starts = [at for at, line in enumerate(lines) if line.startswith(PROMPT)]
        if starts[:1] != [0]:
            raise ValueError(f"line {first + 1}: a fence of commands begins with {PROMPT!r}")
        for start, end in zip(starts, [*starts[1:], len(lines)], strict=True):
            command = lines[start].removeprefix(PROMPT)
            found.append(Run(command, tuple(lines[start + 1 : end]), first + start + 1))
    return found


def files(text: str) -> dict[str, list[str]]:
    """Return the lines of each file that a page shows, by its name."""
    return {head.split()[1]: lines for head, _, lines in fences(text) if len(head.split()) > 1}


def lay_out(text: str, folder: Path) -> None:
    """Put the files of a page into a folder that holds the samples.

    Raises
    ------
    ValueError
        A page shows lines that its sample does not hold, in that order.
    """
    for name, lines in files(text).items():
        path = folder / name
        if not path.exists():
            path.write_text("\n".join([*lines, ""]), encoding="utf-8", newline="\n")
            continue
        rest = iter(path.read_text(encoding="utf-8").splitlines())
        for line in lines:
            if line not in rest:  # goes on from the line found before
                raise ValueError(f"{name} holds no line {line!r}, or not in this order")


def printed(command: str) -> list[str]:
    """Run one command here and return the lines that a terminal would show.

    Raises
    ------
    ValueError
        It is not a command of lawnmap.
    """
    name, *arguments = shlex.split(command)
    if name != "lawnmap":
        raise ValueError(f"{command!r} is not a command of lawnmap")
    screen = io.StringIO()
    code: object = 0
    with contextlib.redirect_stdout(screen), contextlib.redirect_stderr(screen):
        try:
            lawnmap(arguments)
        except SystemExit as leaving:
            code = leaving.code
    return [*screen.getvalue().splitlines(), *([f"(exit {code})"] if code else [])]


def outputs(text: str, samples: Path = SAMPLES) -> list[tuple[Run, list[str]]]:
    """Run a page in a copy of the samples; return each command and the lines it printed."""
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch) / "plans"
        shutil.copytree(samples, folder, ignore=shutil.ignore_patterns("*.md"))
        lay_out(text, folder)
        with contextlib.chdir(folder), mock.patch.dict(os.environ, {"NO_COLOR": "1"}):
            return [(each, printed(each.command)) for each in runs(text)]


def line_fits(shown: str, line: str) -> bool:
    """Return whether a printed line is the one shown."""
    return re.fullmatch(".*".join(map(re.escape, shown.split(ANY))), line) is not None


def fits(shown: Sequence[str], lines: Sequence[str]) -> bool:
    """Return whether what was printed is what is shown."""
    if not shown:
        return not lines
    if shown[0] == ANY:
        return any(fits(shown[1:], lines[at:]) for at in range(len(lines) + 1))
    return bool(lines) and line_fits(shown[0], lines[0]) and fits(shown[1:], lines[1:])


def differences(text: str, samples: Path = SAMPLES) -> list[Difference]:
    """Return the commands of a page that print something else than is shown."""
    return [
        Difference(each.command, each.shown, tuple(lines))
        for each, lines in outputs(text, samples)
        if not fits(each.shown, lines)
    ]
