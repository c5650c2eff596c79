"""What the header of a picture says, nothing of it decoded. Runs in the guarded child."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from lawnmap.readers.authority import stated
from lawnmap.readers.picture import image as picture_image
from lawnmap.readers.picture.tags import Tags, tags


def header(file: str, kind: str, prj: str | None = None) -> dict[str, Any]:
    """Return size and place of a picture as plain JSON.

    Parameters
    ----------
    file : str
        In the working folder.
    kind : str
        ``png``, ``jpeg`` or ``tiff``.
    prj : str, optional
        The file beside it that spells out a CRS.

    Returns
    -------
    dict
        ``width`` and ``height`` as stored and ``orientation``; ``heights`` for a grid of heights;
        ``grid`` of the tags from the stored corner; ``crs`` and ``unit`` of the tags; ``prj``, the
        CRS beside it; ``warnings``.

    Raises
    ------
    InputRefused
        When it cannot be read, is too large, or says of its place what cannot be.
    """
    with picture_image.opened(file, kind) as image:
        held = picture_image.orientation(image)
        width, height = image.size
        if kind == "tiff" and held >= picture_image.SIDEWAYS:
            width, height = height, width  # Pillow says it as it will be, not as it is stored
        heights = picture_image.is_heights(image)
        said = tags(getattr(image, "tag_v2", {})) if kind == "tiff" else Tags()
        count = picture_image.pages(image)
    if count > 1:
        said.warnings.append(f"The file holds {count} pictures: the first was taken.")
    return {
        "width": width,
        "height": height,
        "orientation": held,
        "heights": heights,
        "grid": None if said.grid is None else list(said.grid),
        "crs": said.crs,
        "unit": said.unit,
        "prj": _beside(prj, said),
        "warnings": said.warnings,
    }


def _beside(prj: str | None, said: Tags) -> str | None:
    if prj is None:
        return None
    crs, remarks = stated(Path(prj).read_bytes().decode("utf-8", "replace"))
    said.warnings += remarks
    return crs
