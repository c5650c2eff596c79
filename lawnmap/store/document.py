"""The text of a site file, and what must hold in it.

RFC 7946 FeatureCollection, longitude and latitude, with the foreign member ``lawnmap``. One feature
a line, header first, so that two states of a site can be compared line by line. Members and
properties that lawnmap does not know are kept as they are.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from lawnmap.errors import InputRefused
from lawnmap.files import json_text
from lawnmap.files.limits import SITE
from lawnmap.store.features import check_features, whole
from lawnmap.store.header import check_header
from lawnmap.store.migrations import bring_up

Document = dict[str, Any]
FIRST = ("type", "lawnmap")


class Written(NamedTuple):
    """The bytes of a site file, and the document they read back as."""

    data: bytes
    document: Document


def encode(document: Mapping[str, Any], *, name: str) -> Written:
    """Return a site file, having read it back and compared.

    Raises
    ------
    InputRefused
        When the document is not a good site, or cannot be said in JSON; nothing was written then.
    """
    try:
        text = _text(document)
        data = text.encode("utf-8")
    except (ValueError, RecursionError) as error:
        raise InputRefused(
            f"cannot be saved as JSON ({error})",
            file=name,
            remedy="Correct the number or the text, and save again.",
        ) from error
    if len(data) > SITE.file_bytes:
        raise InputRefused(
            f"would be larger than {SITE.file_bytes / 1e6:.0f} MB",
            file=name,
            remedy="Split the site into two.",
        )
    back = decode(data, name=name)
    if back != document and _text(back) != text:  # tuples become lists, and that is no loss
        raise InputRefused(
            "does not read back as it was written", file=name, remedy="Report this as a fault."
        )
    return Written(data, back)


def decode(data: bytes, *, name: str) -> Document:
    """Return the checked document in `data`, in the newest format.

    Raises
    ------
    InputRefused
        When it is damaged or was saved by another program.
    SiteDamaged
        When it was written by a newer lawnmap.
    """
    document = parse(data, name=name)
    if is_foreign(document):
        raise InputRefused("was saved by another program", file=name)
    return accept(document, name=name)


def parse(data: bytes, *, name: str) -> Document:
    """Return the FeatureCollection in `data`; what is in it is not looked at yet."""
    document = json_text.loads(data, name=name)
    if not isinstance(document, dict) or document.get("type") != "FeatureCollection":
        raise InputRefused("is not a GeoJSON FeatureCollection", file=name)
    return document


def is_foreign(document: Mapping[str, Any]) -> bool:
    """Tell whether another program wrote this: they drop ``lawnmap``, and many add ``crs``."""
    return "lawnmap" not in document or "crs" in document


def accept(document: Document, *, name: str) -> Document:
    """Return `document` in the newest format, having checked header and features."""
    try:
        check_header(document["lawnmap"])
        document = bring_up(document, name=name)
        check_features(document.get("features"))
    except InputRefused as error:
        raise error.within(file=name) from None
    return document


def revision_of(document: Mapping[str, Any]) -> int | None:
    """Return the revision in a document of any format, None when lawnmap did not write it."""
    header = document.get("lawnmap")
    if is_foreign(document) or not isinstance(header, dict) or not whole(header.get("format")):
        return None
    revision = header.get("revision")
    return revision if whole(revision) else None


def _text(document: Mapping[str, Any]) -> str:
    names = [*FIRST, *(key for key in document if key not in {*FIRST, "features"})]
    members = [
        f"{json_text.dumps(key)}:{json_text.dumps(document[key])}"
        for key in names
        if key in document
    ]
    features = ",\n".join(json_text.dumps(feature) for feature in document.get("features", []))
    members.append(f'"features":[\n{features}\n]' if features else '"features":[]')
    return "{\n" + ",\n".join(members) + "\n}\n"
