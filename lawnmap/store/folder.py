"""Where each file of a site lives."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from lawnmap.errors import InputRefused

SITE = "site.geojson"

# Files of a site that may change together with it, as paths from the folder. Nothing else is
# accepted, since the list is read back from a file that came with somebody else's folder.
TOGETHER = re.compile(
    r"site\.geojson|record(\.torn)?\.csv|closed\.csv|heights\.csv|surface\.json"
    r"|backdrop/[a-z0-9][a-z0-9-]{0,31}\.(webp|json)"
    r"|surveys/\d{4}-\d{2}-\d{2}(-\d{1,3})?\.geojson|replies/[0-9a-f]{64}\.json"
)


@dataclass(frozen=True)
class Folder:
    """A site folder.

    Attributes
    ----------
    path : Path
        The folder itself.
    """

    path: Path

    @property
    def name(self) -> str:
        """The folder's own name, for messages."""
        return self.path.resolve().name

    @property
    def site(self) -> Path:
        """Zones and other features: the facts."""
        return self.path / SITE

    @property
    def specification(self) -> Path:
        """Choices, written by hand."""
        return self.path / "specification.toml"

    @property
    def record(self) -> Path:
        """What was really done."""
        return self.path / "record.csv"

    @property
    def closed(self) -> Path:
        """Days on which an area may not be used, or must be open."""
        return self.path / "closed.csv"

    @property
    def weather(self) -> Path:
        """Weather by days, measured and foretold, written by hand or saved from elsewhere."""
        return self.path / "weather.csv"

    @property
    def issued(self) -> Path:
        """Plans that were handed over."""
        return self.path / "issued"

    @property
    def surveys(self) -> Path:
        """Closed surveys."""
        return self.path / "surveys"

    @property
    def replies(self) -> Path:
        """Accepted replies, each as it came."""
        return self.path / "replies"

    @property
    def photos(self) -> Path:
        """Photos, named by their content."""
        return self.path / "photos"

    @property
    def backdrop(self) -> Path:
        """Plan pictures with their place."""
        return self.path / "backdrop"

    @property
    def private(self) -> Path:
        """What lawnmap needs for itself; may be deleted while nobody works on the site."""
        return self.path / ".lawnmap"

    @property
    def lock(self) -> Path:
        """The lock of the whole folder."""
        return self.own(self.private / "lock")

    @property
    def journal(self) -> Path:
        """A change of several files that is under way."""
        return self.own(self.private / "journal")

    @property
    def backups(self) -> Path:
        """Earlier states of the site file."""
        return self.own(self.private / "backups")

    @property
    def cache(self) -> Path:
        """Worked-out values that cost time to work out."""
        return self.private / "cache"

    def own(self, path: Path) -> Path:
        """Return `path`, a file or folder in this one, if no link leads it elsewhere.

        A folder may come from somebody else, and what is written, finished or removed behind a
        link out of it would be another site's, or no site's at all.

        Raises
        ------
        InputRefused
            When a link leads it out of the folder, or round and round.
        """
        try:
            inside = self.path.resolve() in path.resolve().parents
        except (OSError, RuntimeError):  # RuntimeError: pathlib's name for a loop of links
            inside = False
        if not inside:
            raise InputRefused(
                "is a link out of the site's folder",
                file=path.relative_to(self.path).as_posix(),
                remedy="Take the link away, or put in its place what it leads to.",
            )
        return path

    def together(self, name: str) -> Path:
        """Return the path of a file that may change together with the site.

        Raises
        ------
        InputRefused
            For any other name, and when a link leads the file out of the folder: a change that was
            cut off is finished from a list in the folder, and that list must not reach elsewhere.
        """
        path = self.path / name
        try:
            inside = TOGETHER.fullmatch(name) and self.path.resolve() in path.resolve().parents
        except (OSError, RuntimeError):  # RuntimeError: pathlib's name for a loop of links
            inside = False
        if not inside:
            raise InputRefused(
                f"{name!r} cannot change together with the site",
                file=self.name,
                remedy="Only the site's own files can, and each must lie in its folder.",
            )
        return path


def not_opened(path: Path, error: OSError) -> InputRefused:
    """Return the error for a file of a site of which nothing can be told."""
    return InputRefused(
        f"cannot be opened ({error.strerror})", file=path.name, remedy="Check the path."
    )


def not_listed(path: Path, error: OSError) -> InputRefused:
    """Return the error for a folder of a site whose files cannot be told."""
    return InputRefused(
        f"cannot be listed ({error.strerror})", file=path.name, remedy="Check the folder."
    )


def find(path: Path | str) -> Folder:
    """Return the site folder that `path`, a folder or the site file in it, stands for.

    Raises
    ------
    InputRefused
        When it is neither, or the folder holds neither a site nor a backup of one.
    """
    path = Path(path)
    folder = Folder(path.parent if path.name == SITE else path)
    try:
        if path.name != SITE and path.is_file():
            raise InputRefused(
                "is not a site", file=path.name, remedy=f"Give a site folder, or the {SITE} in it."
            )
        if folder.site.exists() or folder.backups.is_dir():
            return folder
    except OSError as error:
        raise InputRefused(
            f"cannot be opened ({error.strerror})", file=path.name, remedy="Check the path."
        ) from error
    raise InputRefused(
        f"holds no {SITE}",
        file=folder.name,
        remedy="Give a site folder, or make one with lawnmap start.",
    )
