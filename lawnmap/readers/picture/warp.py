"""A picture redrawn to lie straight on a map page, small and bare. Runs in the guarded child.

Each piece of the new picture is fetched from a four-sided piece of the old one, so that a turned
sheet is turned and not stretched. What is written is drawn afresh: no Exif, no position, no text,
no colour profile and no thumbnail of the old file is in it.
"""

from __future__ import annotations

import base64
import io
from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import numpy as np
import numpy.typing as npt
from PIL import Image

from lawnmap.errors import InputRefused
from lawnmap.readers.picture import image as picture_image

Floats = npt.NDArray[np.float64]
Mesh = Sequence[Sequence[Sequence[float]]]

LARGEST = 1_000_000  # bytes
QUALITIES = (80, 65, 50)
SMALLER = 0.8  # a side, once quality has gone as low as it may
LEAST = 200  # pixels


def warped(
    file: str,
    kind: str,
    *,
    columns: Sequence[int],
    rows: Sequence[int],
    mesh: Mesh,
    page: int = 1,
) -> dict[str, Any]:
    """Return a picture redrawn, as plain JSON.

    Parameters
    ----------
    file : str
        In the working folder.
    kind : str
        ``png``, ``jpeg``, ``tiff``, ``webp`` or ``pdf``.
    columns, rows : sequence of int
        Where the pieces of the new picture meet, from 0 to its width and to its height.
    mesh : (rows, columns, 2) sequence of float
        Column and row in the old picture for each of these meeting places.
    page : int
        Of a PDF, from 1.

    Returns
    -------
    dict
        ``webp`` in base64, and its ``width`` and ``height``.
    """
    places = np.asarray(mesh, dtype=np.float64)
    by = _reduction(columns[-1], rows[-1], places)
    image = _source(file, kind, page)
    image = image.reduce(by) if by > 1 else image
    return small(redrawn(image.convert("RGBA"), columns, rows, places / by))


def _source(file: str, kind: str, page: int) -> Image.Image:
    if kind == "pdf":
        from lawnmap.readers.picture.page import drawn

        return drawn(file, page)
    with picture_image.opened(file, kind) as image:
        return picture_image.decoded(image)


def _reduction(width: int, height: int, places: Floats) -> int:
    """Return how many old pixels a side go into a new one: first made smaller, none is skipped."""
    across = np.linalg.norm(places[:, -1] - places[:, 0], axis=1).max() / width
    down = np.linalg.norm(places[-1] - places[0], axis=1).max() / height
    return max(1, round(float(min(across, down))))


def redrawn(
    image: Image.Image, columns: Sequence[int], rows: Sequence[int], places: Floats
) -> Image.Image:
    """Return a picture in RGBA piece by piece, clear where the old one has nothing."""
    pieces = []
    for row, (top, bottom) in enumerate(pairwise(rows)):
        for column, (left, right) in enumerate(pairwise(columns)):
            upper, lower = places[row, column : column + 2], places[row + 1, column : column + 2]
            four = np.concatenate([upper[0], lower[0], lower[1], upper[1]])
            pieces.append(((left, top, right, bottom), tuple(four.tolist())))
    return image.transform(
        (columns[-1], rows[-1]), Image.Transform.MESH, pieces, Image.Resampling.BICUBIC
    )


def small(image: Image.Image) -> dict[str, Any]:
    """Return a picture as WebP of at most a megabyte, at lower quality or smaller if need be."""
    while True:
        bare = Image.frombytes("RGBA", image.size, image.tobytes())
        for quality in QUALITIES:
            stream = io.BytesIO()
            bare.save(stream, "WEBP", quality=quality, method=4)
            if stream.tell() <= LARGEST:
                text = base64.b64encode(stream.getvalue()).decode("ascii")
                return {"webp": text, "width": image.width, "height": image.height}
        smaller = (int(image.width * SMALLER), int(image.height * SMALLER))
        if min(smaller) < LEAST:
            raise InputRefused(
                "cannot be made small enough for a map page",
                remedy="Cut the picture down to the site.",
            )
        image = image.resize(smaller, Image.Resampling.LANCZOS)
