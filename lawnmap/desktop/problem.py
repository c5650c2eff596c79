"""What went wrong, in lawnmap's own form: file, place, what is wrong, what was not done, remedy."""

from __future__ import annotations

from collections.abc import Mapping

NOTHING = "Nothing was changed."
INSTALL = "lawnmap desktop install"


class Problem(Exception):
    """Something that a person has to see to.

    Parameters
    ----------
    problem : str
        What is wrong, as the end of the sentence "file: place: …".
    file : str
        The file or layer.
    place : str
        Where in it.
    done : str
        What was or was not done, as a whole sentence.
    remedy : str
        What to do now, as a whole sentence.
    """

    def __init__(
        self,
        problem: str,
        *,
        file: str = "",
        place: str = "",
        done: str = NOTHING,
        remedy: str = "",
    ) -> None:
        super().__init__(problem)
        self.problem = problem
        self.file = file
        self.place = place
        self.done = done
        self.remedy = remedy

    def __str__(self) -> str:
        """Return the whole message on one line."""
        head = ": ".join(part for part in (self.file, self.place, self.problem) if part)
        if not head.endswith((".", "!", "?")):
            head += "."
        return " ".join(part for part in (head, self.done, self.remedy) if part)


class Refused(Problem):
    """What lawnmap itself said, word for word.

    Parameters
    ----------
    text : str
        The whole message, without the name of the program before it.
    file : str
        The file that the message begins with.
    code : int
        The exit code (docs/commands/index.md).
    """

    def __init__(self, text: str, *, file: str = "", code: int = 1) -> None:
        super().__init__(text, file=file, done="")
        self.text = text
        self.code = code

    def __str__(self) -> str:
        """Return the message."""
        return self.text

    def about(self, names: Mapping[str, str]) -> Refused:
        """Return it with the layer's name in place of a file that was made of the layer."""
        text = self.text
        name = names.get(self.file, "")
        if name and text.startswith(f"{self.file}: "):
            text = f"{name}: {text[len(self.file) + 2 :]}"
        return Refused(text, file=name or self.file, code=self.code)


class Stopped(Exception):
    """A person stopped the step."""

    def __str__(self) -> str:
        """Return what is told."""
        return f"Stopped. {NOTHING}"
