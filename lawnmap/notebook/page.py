"""A page in the output of a notebook's cell."""

from __future__ import annotations

from dataclasses import dataclass
from os import PathLike
from pathlib import Path

from lawnmap.jobs.export import Rendered, write
from lawnmap.notebook.telling import note, told_for_python
from lawnmap.pages.framed import framed

HEIGHT_PX = 560


@dataclass(frozen=True)
class Page:
    """One exported page, whole in itself: a notebook shows it, and it can be saved.

    Attributes
    ----------
    rendered : Rendered
        The page with its name, title and audience.
    height : int
        Of the frame that it is shown in [px].
    """

    rendered: Rendered
    height: int = HEIGHT_PX

    def __repr__(self) -> str:
        """Return what it is, for whom, and how large."""
        made = self.rendered
        return f"<Page {made.name} for {made.audience}, {len(made.data) / 1000:,.0f} kB>"

    @property
    def html(self) -> str:
        """The whole page, as :meth:`save` writes it."""
        return self.rendered.data.decode()

    def tall(self, height: int) -> Page:
        """Return this page to be shown in another height.

        Parameters
        ----------
        height : int
            [px]

        Returns
        -------
        Page
        """
        return Page(self.rendered, height)

    def save(self, path: str | PathLike[str], *, force: bool = True) -> Path:
        """Write the page to a file of its own, which works without a network.

        Parameters
        ----------
        path : path
        force : bool
            Whether a file that is there already is replaced.

        Returns
        -------
        Path

        Raises
        ------
        WriteFailed, UsageProblem
            When the disk does not take it, or it is there already and not to be replaced.
        """
        return _save(self.rendered, Path(path), force=force)

    def _repr_html_(self) -> str:
        """Return the page in a frame that keeps it apart from the notebook."""
        return framed(self.html, title=self.rendered.title, height=self.height)


@told_for_python
def _save(rendered: Rendered, path: Path, *, force: bool) -> Path:
    written, warnings = write(rendered, None, path, force=force)
    note(warnings)
    return written
