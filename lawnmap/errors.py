"""Every error a person can meet, as one tree.

::

    LawnmapError                      1  a fault in lawnmap
    ├── UsageProblem (ValueError)     2  the command was not understood
    ├── InputRefused (ValueError)     3  an input is wrong; nothing was changed
    │   ├── CRSNeeded                 3  the file does not say where on earth it is
    │   ├── LayerNeeded               3  several layers, and none was chosen
    │   ├── ExtraNeeded (ImportError) 3  an optional package is missing
    │   └── PluginProblem             3  no such plugin, or it will not load
    ├── SiteDamaged (ValueError)      4  a file kept of a site is damaged or too new
    ├── WriteFailed (OSError)         5  the disk did not take it
    └── Busy (RuntimeError)           6  somebody else has the site, or changed it meanwhile

Each also is the built-in it refines, so ``except ValueError`` still works. The number is the exit
code. The message has a fixed form: file, place, what is wrong, what was not done, what to do.
What is no error and yet has to be known is a :class:`Note`, a warning of Python.
"""

from __future__ import annotations

import traceback
from pathlib import Path

__all__ = [
    "Busy",
    "CRSNeeded",
    "ExtraNeeded",
    "InputRefused",
    "LawnmapError",
    "LayerNeeded",
    "PluginProblem",
    "SiteDamaged",
    "UsageProblem",
    "WriteFailed",
]

LONGEST_MESSAGE = 600
LONGEST_NAME = 120  # of a file or place in a message, so that what is wrong is always said


def printable(text: str) -> str:
    """Return `text` on one line with control and formatting characters shown as escapes.

    A file or zone name must not be able to move the cursor, colour the terminal or turn the
    reading direction of the message it stands in.
    """
    return "".join(
        char if char.isprintable() else char.encode("unicode_escape").decode("ascii")
        for char in text
    )


def frames_of(fault: BaseException) -> tuple[str, ...]:
    """Return the kind of a fault and the frames it went through, for a log.

    No values and no message: they can hold a client's name or a path.
    """
    frames = traceback.extract_tb(fault.__traceback__)
    told = (f"  {Path(each.filename).name}:{each.lineno} in {each.name}" for each in frames)
    return (type(fault).__name__, *told)


def _short(name: str) -> str:
    return name if len(name) <= LONGEST_NAME else f"{name[: LONGEST_NAME - 1]}…"


class LawnmapError(Exception):
    """Something went wrong, told in one form.

    Parameters
    ----------
    problem : str
        What is wrong, as the end of the sentence "file: place: …".
    file : str, optional
        The name of the file, without its folder.
    place : str, optional
        Where in the file: ``zone 3 "Back lawn", ring 1, point 17``.
    done : str, optional
        What was or was not done, as a whole sentence.
    remedy : str, optional
        What to do now, as a whole sentence.
    """

    exit_code = 1
    default_done = ""

    def __init__(
        self,
        problem: str,
        *,
        file: str = "",
        place: str = "",
        done: str | None = None,
        remedy: str = "",
    ) -> None:
        super().__init__(problem)
        self.problem = problem
        self.file = file
        self.place = place
        self.done = self.default_done if done is None else done
        self.remedy = remedy

    def __str__(self) -> str:
        """Return the whole message on one line."""
        names = (_short(part) for part in (self.file, self.place) if part)
        head = ": ".join((*names, self.problem))
        if not head.endswith((".", "!", "?")):
            head += "."
        text = printable(" ".join(part for part in (head, self.done, self.remedy) if part))
        return text if len(text) <= LONGEST_MESSAGE else text[: LONGEST_MESSAGE - 1] + "…"

    def within(self, *, file: str = "", place: str = "") -> LawnmapError:
        """Return this error with file and place filled in where they were still open."""
        self.file = self.file or file
        self.place = self.place or place
        return self


class UsageProblem(LawnmapError, ValueError):
    """The command was not understood."""

    exit_code = 2


class InputRefused(LawnmapError, ValueError):
    """An input is wrong. Nothing was changed."""

    exit_code = 3
    default_done = "Nothing was changed."


class CRSNeeded(InputRefused):
    """The file does not say which coordinate reference system it is in."""


class LayerNeeded(InputRefused):
    """The file has several layers, folders or tracks and none was chosen."""


class ExtraNeeded(InputRefused, ImportError):
    """An optional package is missing."""


class PluginProblem(InputRefused):
    """There is no such plugin, two share a name, or one will not load."""


class SiteDamaged(LawnmapError, ValueError):
    """A site file is damaged, or was written by a newer lawnmap."""

    exit_code = 4
    default_done = "Nothing was changed."


class WriteFailed(LawnmapError, OSError):
    """The disk did not take what was to be written."""

    exit_code = 5


class Busy(LawnmapError, RuntimeError):
    """Somebody else holds the site, or changed it meanwhile."""

    exit_code = 6


class Note(UserWarning):
    """What a person should know of what was read or planned; the command line prints it as a note.

    No error: the work went on. ``warnings.simplefilter("ignore", lawnmap.Note)`` keeps it quiet;
    the sentences are kept in the attribute ``warnings`` of a site or a plan all the same.
    """
