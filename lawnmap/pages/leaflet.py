"""Leaflet as installed, checked and made fit to stand inside a page without any address.

The files come from the package XStatic-Leaflet through :mod:`importlib.metadata`; it is an
old-style namespace package, so it is found and never imported.
"""

from __future__ import annotations

import base64
import hashlib
import re
from functools import cache
from importlib.metadata import PackageNotFoundError, distribution
from pathlib import Path

from lawnmap.errors import ExtraNeeded, LawnmapError

PACKAGE = "XStatic-Leaflet"
RELEASE = "1.9.3.0"
FOLDER = "xstatic/pkg/leaflet/data"
REMEDY = f"Install {PACKAGE}=={RELEASE}."

# SHA-256 of leaflet.js as in Leaflet's own release 1.9.3, and of what goes with it in the package.
SHA256 = {
    "leaflet.js": "5819285cec137b229c94e1ee5ad73e8b6b84345a4367d60f75fe477fe0fb7b03",
    "leaflet.css": "90b693d86392a4779c861b28cf307e7e59c3fb35328c4d8b95f58f814d38c722",
    "images/layers.png": "1dbbe9d028e292f36fcba8f8b3a28d5e8932754fc2215b9ac69e4cdecf5107c6",
    "images/layers-2x.png": "066daca850d8ffbef007af00b06eac0015728dee279c51f3cb6c716df7c42edf",
    "images/marker-icon.png": "574c3a5cca85f4114085b6841596d62f00d7c892c7b03f28cbfa301deb1dc437",
}


@cache
def script() -> str:
    """Return Leaflet's script without its source-map line.

    Raises
    ------
    ExtraNeeded
        When the package is missing.
    LawnmapError
        When a file is not the one that was checked.
    """
    text = _unix(_file("leaflet.js").decode("utf-8"))
    text = re.sub(r"//# sourceMappingURL=\S*\n?", "", text)
    if "</script" in text.lower() or "<!--" in text:
        raise LawnmapError("Leaflet's script cannot stand inside a page", remedy=REMEDY)
    return text.strip()


@cache
def style() -> str:
    """Return Leaflet's style sheet: images inside, no comments, no rule for a browser of 1999.

    Raises
    ------
    ExtraNeeded, LawnmapError
        As for :func:`script`.
    """
    text = _unix(_file("leaflet.css").decode("utf-8"))
    text = re.sub(r"/\*.*?\*/", "", text, flags=re.DOTALL)
    text = re.sub(r"[ \t]*behavior:\s*url\(#default#VML\);", "", text)
    text = re.sub(r"url\((images/[\w.-]+)\)", _picture, text)
    return re.sub(r"\n\s*\n+", "\n", text).strip()


def _picture(match: re.Match[str]) -> str:
    data = base64.b64encode(_file(match[1])).decode("ascii")
    return f"url(data:image/png;base64,{data})"


def _file(name: str) -> bytes:
    try:
        found = distribution(PACKAGE)
        data = Path(str(found.locate_file(f"{FOLDER}/{name}"))).read_bytes()
    except (PackageNotFoundError, OSError) as error:
        raise ExtraNeeded(f"{PACKAGE} is not installed whole", remedy=REMEDY) from error
    if hashlib.sha256(data).hexdigest() != SHA256[name]:
        raise LawnmapError(
            f"{name} of {PACKAGE} is not the file that was checked",
            done="No page was made.",
            remedy=REMEDY,
        )
    return data


def _unix(text: str) -> str:
    return text.replace("\r\n", "\n").replace("\r", "\n")
