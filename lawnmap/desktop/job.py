"""One run of a step: a private folder, the layers handed over, lawnmap asked, the folder gone."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from . import site as sites
from .command import Answer, ask
from .installed import Installed, installed
from .problem import INSTALL, Refused

WHOLE = 100.0
START_SHARE = 6.0  # of the progress: one layer read


@dataclass
class Job:
    """What a step works with.

    Attributes
    ----------
    folder : Path
        Private to the step; gone when it ends.
    parameters : dict
        What was chosen for the step's inputs and results.
    context : QgsProcessingContext
    feedback : QgsProcessingFeedback
    how : Installed
        How lawnmap is started.
    site : Path
        The site folder that lawnmap works on: one in `folder`, or the person's own.
    own : bool
        Whether it is the person's own, with no layer of zones beside it.
    layered : bool
        Whether the zones came from a layer.
    crs : str
        In which shapes come back, as ``--crs`` takes it; empty for longitude and latitude.
    layer_crs : QgsCoordinateReferenceSystem or None
        The same as the GIS has it.
    reading : list of str
        How layers are read: whether outlines are mended, and bad ones left out.
    names : dict
        For each file that was made of a layer, the layer's name.
    """

    folder: Path
    parameters: dict[str, Any]
    context: Any
    feedback: Any
    how: Installed
    site: Path = Path()
    own: bool = False
    layered: bool = False
    crs: str = ""
    layer_crs: Any = None
    depot: Path | None = None
    today: str = ""
    reading: list[str] = field(default_factory=list)
    names: dict[str, str] = field(default_factory=dict)
    ids: dict[int, str] = field(default_factory=dict)
    said: list[str] = field(default_factory=list)
    done: float = 0.0

    def ask(self, *arguments: str, share: float) -> Any:
        """Ask lawnmap, and return the result of its JSON.

        Parameters
        ----------
        *arguments : str
            The command and its options.
        share : float
            How much of the step this is [%].

        Raises
        ------
        Problem, Stopped
            See :func:`lawnmap_desktop.command.ask`; files are called by their layers' names.
        """
        began = self.done
        heard: list[str] = []

        def hear(percent: int, what: str) -> None:
            self.feedback.setProgress(min(began + share * percent / WHOLE, WHOLE))
            if what and what not in heard:
                heard.append(what)
                self.feedback.setProgressText(what)

        try:
            answer = ask(
                [*self.how.command, *arguments, "--json"],
                folder=self.folder,
                heard=hear,
                cancelled=self.feedback.isCanceled,
            )
        except Refused as refused:
            raise refused.about(self.names) from None
        self.done = min(began + share, WHOLE)
        self.feedback.setProgress(self.done)
        self._tell(answer)
        return answer.result

    def plan_options(self) -> list[str]:
        """Return depot and day as the commands take them that work out a plan."""
        depot = [] if self.depot is None else ["--depot", str(self.depot)]
        return [*depot, *self.day()]

    def day(self) -> list[str]:
        """Return the day that was chosen, as the commands take it."""
        return ["--today", self.today] if self.today else []

    def read(self, path: Path, name: str, *options: str) -> None:
        """Have lawnmap read a file that was made of a layer into the site."""
        self.names[path.name] = name
        self.feedback.setProgressText(f"{name}: read")
        self.ask(
            "read", str(path), "--into", str(self.site), *self.reading, *options, share=START_SHARE
        )

    def warn(self, *texts: str) -> None:
        """Say what a person should know, once each, in the log of the step."""
        for text in texts:
            if text not in self.said:
                self.said.append(text)
                self.feedback.pushWarning(text)

    def planned(self, *, share: float) -> Any:
        """Have lawnmap work out the plan, show its cautions, and return it."""
        made = self.ask("plan", str(self.site), *self.plan_options(), share=share)
        self.warn(*(f"Caution: {text}" for text in made["cautions"]))
        return made

    def _tell(self, answer: Answer) -> None:
        texts = answer.warnings
        for file, name in self.names.items():
            texts = [text.replace(file, name) for text in texts]
        self.warn(*texts)
        if answer.version and answer.version != self.how.version:
            self.warn(
                f"lawnmap is {answer.version}, and this plugin came with {self.how.version}: "
                f"run {INSTALL} again."
            )


@contextmanager
def begun(parameters: dict[str, Any], context: Any, feedback: Any) -> Iterator[Job]:
    """Begin a run: find lawnmap, make the private folder, and take it away at the end.

    Raises
    ------
    Problem
        When lawnmap is not to be found.
    """
    how = installed()
    folder = Path(tempfile.mkdtemp(prefix="lawnmap-"))
    try:
        yield Job(folder, parameters, context, feedback, how)
    finally:
        shutil.rmtree(str(folder), ignore_errors=True)


def settle_depot(job: Job, given: Path | None, site: Path | None) -> None:
    """Settle where label cards and machines are read; see :func:`sites.depot`."""
    if job.own:
        job.depot = given  # lawnmap finds that of a real site by itself
        return
    job.depot = sites.depot(given, site)
    if job.depot is None:
        job.depot = job.folder / "no_depot"
        job.depot.mkdir()
