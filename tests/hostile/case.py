"""One run of the set: files, what is typed, and what has to come of it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

REFUSED, DAMAGED = 3, 4


@dataclass(frozen=True)
class Case:
    """One run.

    Attributes
    ----------
    name : str
        What it is; no two have the same.
    files : mapping
        What lies in the folder ``in``, each as bytes or as what makes them: ``Bait.made``.
    told : str
        Words in the answer to what is accepted; those of refusals stand in ``refusals.csv``.
    words : tuple of str
        What is typed behind ``lawnmap``; otherwise the first file is read into the site.
    code : int
        The exit code.
    made : callable or None
        Told the scratch folder, makes there what is no file: pipes, links, another site.
    stdin : bytes or None
        What comes through the pipe.
    file : str or None
        Name of the file that the refusal names; otherwise that of the first.
    then : tuple
        What is typed afterwards, one after the other; each has to be accepted.
    site : str
        The site in the folder ``site``: ``empty``, ``zones`` or ``unplaced``.
    """

    name: str
    files: Mapping[str, bytes | Callable[[], bytes]] = field(default_factory=dict)
    told: str = ""
    words: tuple[str, ...] = ()
    code: int = REFUSED
    made: Callable[[Path], None] | None = None
    stdin: bytes | None = None
    file: str | None = None
    then: tuple[tuple[str, ...], ...] = ()
    site: str = "empty"

    @property
    def first(self):
        """The name of the first file."""
        return next(iter(self.files), "")

    @property
    def typed(self):
        """What is typed behind ``lawnmap``; what begins with an option is added to a reading."""
        plain = ("read", f"in/{self.first}", "--into", "site")
        if not self.words:
            return plain
        return (*plain, *self.words) if self.words[0].startswith("--") else self.words

    @property
    def told_file(self):
        """The name of the file that a refusal has to name."""
        return self.first if self.file is None else self.file


def accepted(name, files, *words, told="", then=(), **more):
    """Return a run of a good file."""
    return Case(name, files, told, words, 0, then=then, **more)
