"""Plan pictures with their place: ``backdrop/NAME.webp`` and what is known of it, ``NAME.json``.

A folder may come from somebody else, so both files are looked at before they are used: the facts
member by member, and the picture chunk by chunk, since nothing but pixels may go on to a map.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from lawnmap.errors import InputRefused
from lawnmap.files import json_text
from lawnmap.files.admit import read_regular
from lawnmap.store.features import finite, on_earth, whole
from lawnmap.store.folder import Folder

FORMAT = 1
NAME = re.compile(r"[a-z0-9][a-z0-9-]{0,31}")
LARGEST_PICTURE, LARGEST_FACTS = 4_000_000, 1_000_000
MOST = 50
PIXELS_ONLY = {b"VP8X", b"VP8 ", b"VP8L", b"ALPH"}  # RFC 9649: no EXIF, XMP, ICCP or ANIM
CHUNK = 8  # bytes: a chunk's name and its length


@dataclass(frozen=True)
class Backdrop:
    """A plan picture with its place.

    Attributes
    ----------
    name : str
        A plain id.
    facts : mapping
        ``bounds`` (west, south, east, north [°], between which the picture is even in Web
        Mercator), ``width`` and ``height``; of the plan it was made from ``source``,
        ``source_width``, ``source_height``, ``crs`` and ``pixel_map``; of the control points, if
        any, ``control`` with the residuals and ``rmse_m``.
    data : bytes
        WebP.
    """

    name: str
    facts: Mapping[str, Any]
    data: bytes = field(repr=False)

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """West, south, east and north edge [°]."""
        west, south, east, north = self.facts["bounds"]
        return west, south, east, north

    def files(self) -> dict[str, bytes]:
        """Return the files of this backdrop by path from the site's folder."""
        facts = {"format": FORMAT, "name": self.name, **self.facts}
        check_facts(facts, self.name)
        text = json_text.dumps(facts, indent=1) + "\n"
        return {
            f"backdrop/{self.name}.webp": self.data,
            f"backdrop/{self.name}.json": text.encode("utf-8"),
        }


@dataclass
class Stored:
    """The backdrops of a site, and what was wrong with those that are left out."""

    backdrops: dict[str, Backdrop] = field(default_factory=dict)
    warnings: list[str] = field(default_factory=list)


def stored(folder: Folder) -> Stored:
    """Return every good backdrop of a site by name; a damaged one is told and left out."""
    found = Stored()
    try:
        # A glob would pass over a folder that may not be listed without a word.
        paths = sorted(path for path in folder.backdrop.iterdir() if path.suffix == ".json")
    except FileNotFoundError:
        return found
    except OSError as error:
        found.warnings.append(f"The folder backdrop cannot be listed ({error.strerror}).")
        return found
    if len(paths) > MOST:
        found.warnings.append(f"There are more than {MOST} backdrops; the rest was left out.")
    for path in paths[:MOST]:
        try:
            found.backdrops[path.stem] = _read(folder, path)
        except InputRefused as error:
            error.file = f"backdrop/{error.file or path.name}"
            error.done = "It was left out."
            error.remedy = "Read the plan picture again."
            found.warnings.append(str(error))
    return found


def _read(folder: Folder, path: Path) -> Backdrop:
    if not NAME.fullmatch(path.stem):
        raise InputRefused("has a name that no backdrop has")
    picture = path.with_suffix(".webp")
    for each in (path, picture):
        if folder.path.resolve() not in each.resolve().parents:
            raise InputRefused("is a link out of the site's folder")
    facts = json_text.loads(read_regular(path, limit=LARGEST_FACTS), name=path.name)
    check_facts(facts, path.stem)
    data = read_regular(picture, limit=LARGEST_PICTURE)
    if not bare(data):
        raise InputRefused("is not a plain WebP picture", file=picture.name)
    rest = {key: value for key, value in facts.items() if key not in {"format", "name"}}
    return Backdrop(path.stem, rest, data)


def bare(data: bytes) -> bool:
    """Tell whether this is a WebP with pixels and nothing else (RFC 9649, 2.3 to 2.7)."""
    if data[:4] != b"RIFF" or data[8:12] != b"WEBP":
        return False
    if int.from_bytes(data[4:8], "little") + CHUNK != len(data):
        return False
    at = 12
    while at < len(data):
        if data[at : at + 4] not in PIXELS_ONLY:
            return False
        length = int.from_bytes(data[at + 4 : at + CHUNK], "little")
        at += CHUNK + length + length % 2
    return at == len(data)


def _numbers(count: int) -> Callable[[Any], bool]:
    return lambda value: isinstance(value, list) and len(value) == count and all(map(finite, value))


def _text(value: Any) -> bool:
    return isinstance(value, str)


def _text_or_nothing(value: Any) -> bool:
    return value is None or isinstance(value, str)


def _length(value: Any) -> bool:
    return finite(value) and value >= 0


def _length_or_nothing(value: Any) -> bool:
    return value is None or _length(value)


def _pixels(value: Any) -> bool:
    return whole(value) and value >= 1


def _box(value: Any) -> bool:
    if not _numbers(4)(value):
        return False
    west, south, east, north = value
    return on_earth([west, south]) and on_earth([east, north]) and west < east and south < north


def _position(value: Any) -> bool:
    return _numbers(2)(value) and on_earth(value)


def _pixel_map(value: Any) -> bool:
    if not isinstance(value, dict) or not _numbers(6)(value.get("grid")):
        return False
    placed = _position(value["frame"]) if "frame" in value else _text(value.get("crs"))
    errors = _length(value.get("fit_sigma_m")) and _length_or_nothing(value.get("scale_sigma"))
    return placed and errors


def _control(value: Any) -> bool:
    return isinstance(value, list) and all(map(_point, value))


def _point(value: Any) -> bool:
    return (
        isinstance(value, dict)
        and _text(value.get("name"))
        and _numbers(2)(value.get("column_row"))
        and _position(value.get("lonlat"))
        and _numbers(2)(value.get("residual_m"))
    )


MEMBERS: dict[str, Callable[[Any], bool]] = {
    "bounds": _box,
    "width": _pixels,
    "height": _pixels,
    "source": _text,
    "source_width": _pixels,
    "source_height": _pixels,
    "crs": _text_or_nothing,
    "pixel_map": _pixel_map,
    "control": _control,
    "rmse_m": _length_or_nothing,
}


def check_facts(facts: Any, name: str) -> None:
    """Check what is known of a backdrop; members that lawnmap does not know are left alone.

    Raises
    ------
    InputRefused
        With the member that is missing or wrong.
    """
    if not isinstance(facts, dict):
        raise InputRefused("is not an object")
    if facts.get("format") != FORMAT or facts.get("name") != name:
        raise InputRefused("is not of this format or of this name")
    for member, holds in MEMBERS.items():
        if member not in facts or not holds(facts[member]):
            raise InputRefused("is missing or wrong", place=member)
