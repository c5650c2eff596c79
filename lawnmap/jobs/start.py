"""The job ``start``: a new site folder."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from lawnmap.errors import InputRefused
from lawnmap.files.utf8 import as_typed
from lawnmap.model import Site
from lawnmap.store import document, specification
from lawnmap.store import site as site_store
from lawnmap.store.folder import SITE, Folder

LONGEST_TITLE = 200


@dataclass(frozen=True)
class StartReply:
    """A new site folder and the files in it."""

    folder: Folder
    site: Site
    written: tuple[str, ...]
    warnings: tuple[str, ...]


def start(
    path: Path, *, title: str = "", timezone: str = "UTC", sample: bool = False
) -> StartReply:
    """Make a new site folder.

    Parameters
    ----------
    path : Path
        The folder; made when it is not there.
    title : str
        The site's public title; the folder's name when not given.
    timezone : str
        Where the site is, as in the IANA time zone database.
    sample : bool
        Put the invented sample site into it.

    Returns
    -------
    StartReply

    Raises
    ------
    InputRefused
        When the folder holds a site already, or the time zone is not known.
    """
    folder = Folder(Path(path))
    if sample:
        site, others = _sample()
    else:
        site, others = _blank(title or as_typed(folder.name), timezone), {}
    # By this a reply from a shared page finds its way home, and to no other site.
    site = site.with_header(site_id=secrets.token_hex(8))
    others = {"specification.toml": specification.default_text().encode(), **others}
    saved = site_store.create(folder, site, others)
    return StartReply(folder, saved.site, (SITE, *others), saved.warnings)


def _blank(title: str, timezone: str) -> Site:
    title = " ".join(title.split())
    if len(title) > LONGEST_TITLE:
        raise InputRefused(
            f"the title is longer than {LONGEST_TITLE} characters", remedy="Choose another."
        )
    if not title.isprintable():
        raise InputRefused(
            "the title holds a character that cannot be printed",
            remedy="Choose another, with --title.",
        )
    try:
        ZoneInfo(timezone)
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:
        raise InputRefused(
            f"the time zone {timezone[:40]!r} is not known", remedy="Write it as Europe/London."
        ) from error
    header = {"title": title, "timezone": timezone, "placed": True}
    return Site({"type": "FeatureCollection", "lawnmap": header, "features": []})


def _sample() -> tuple[Site, dict[str, bytes]]:
    folder = sample_folder()
    texts = {each.name: each.read_bytes() for each in folder.iterdir() if each.is_file()}
    site = Site(document.parse(texts.pop(SITE), name=SITE))
    return site, texts


def sample_folder() -> Traversable:
    """Return the sample site: in the package when installed, beside it in a source tree."""
    package = files("lawnmap")
    installed = package.joinpath("sample")
    if installed.is_dir():
        return installed
    return package.joinpath("..", "sample_geo", "site")
