"""The picture behind ``read --preview``: what a plan holds, drawn before anything is saved."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

from shapely.geometry import shape

from lawnmap.errors import ExtraNeeded, UsageProblem
from lawnmap.files.alone import put
from lawnmap.files.commit import write_failed
from lawnmap.jobs.overview import backdrop_in, heights_in

if TYPE_CHECKING:
    from lawnmap.exports.preview.view import Drawn
    from lawnmap.jobs.reading import Taken
    from lawnmap.processing.entering.merge import Change

SUFFIX = ".png"
NOTHING = "Nothing was changed."


def admit(path: Path) -> None:
    """Refuse a place where no preview can be written, before any work is done.

    Raises
    ------
    ExtraNeeded
        When Pillow is not installed.
    UsageProblem
        When the name does not end in .png, or something else than an earlier preview is there.
    WriteFailed
        When it cannot be looked at.
    """
    if find_spec("PIL") is None:
        raise ExtraNeeded(
            "a preview is drawn by the package Pillow, which is not installed",
            remedy="Install it: pip install 'lawnmap[pictures]'. Or leave --preview out.",
        )
    from lawnmap.exports.preview import picture as preview

    if path.suffix.lower() != SUFFIX:
        raise UsageProblem(
            "--preview writes a PNG, and the name does not end in .png",
            file=path.name,
            done=NOTHING,
            remedy="Give it a name such as preview.png.",
        )
    try:
        if not path.is_file():
            return  # what else may be there, the one write tells
        with path.open("rb") as stream:
            head = stream.read(preview.HEAD)
    except OSError as error:
        raise write_failed(path, error) from error
    if not preview.is_preview(head):
        raise UsageProblem(
            "is there already and is no preview that lawnmap drew",
            file=path.name,
            done=NOTHING,
            remedy="Choose another name for --preview.",
        )


def write(path: Path, taken: Taken) -> tuple[str, ...]:
    """Draw what a plan holds and write it; return warnings.

    Raises
    ------
    WriteFailed
        When the disk does not take it.
    """
    from lawnmap.exports.preview import picture as preview

    drawn = tuple(_drawn(each) for each in taken.changes if each.feature)
    picture = None
    facts = backdrop_in(taken)
    if facts is not None:
        west, south, east, north = facts["bounds"]
        picture = taken.files[f"backdrop/{facts['name']}.webp"], (west, south, east, north)
    scene = preview.Scene(
        drawn or _edges(taken), picture, heights_in(taken), placed=taken.site.placed
    )
    return put(path, preview.preview(scene), force=True)


def _drawn(change: Change) -> Drawn:
    from lawnmap.exports.preview.view import Drawn

    said = change.feature["properties"]
    name = str(said.get("name") or said.get("zone_id") or "")
    if not name.isprintable() or name != name.encode("latin-1", "ignore").decode("latin-1"):
        name = str(said.get("zone_id") or "")  # plain letters, which every font has
    return Drawn(change.kind, name, shape(change.feature["geometry"]), change.what != "kept")


def _edges(taken: Taken) -> tuple[Drawn, ...]:
    """Return the edges of what is on the site already, to lie over a picture or heights."""
    from lawnmap.exports.preview.view import Drawn

    return tuple(
        Drawn(each["properties"]["feature"], "", shape(each["geometry"]), filled=False)
        for each in taken.site.document["features"]
    )
