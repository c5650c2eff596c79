"""The named values of KML placemarks, typed where a schema of the document says so."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from lawnmap.errors import InputRefused
from lawnmap.files.numbers import number

if TYPE_CHECKING:
    from collections.abc import Iterator

    from lawnmap.files.xml_text import Element

# Types of a SimpleField: OGC 07-147r2, 9.4, and the longer names that its test suite has.
WHOLE = {"int", "uint", "short", "ushort", "unsignedInt", "unsignedShort"}
REAL = {"float", "double"}
TRUTH = {"bool", "boolean"}
MOST_WHOLE = 2**53  # above it not every whole number is a double
TRUTHS = {"1": True, "true": True, "0": False, "false": False}


class Schemas:
    """The schemas of one KML document, and the reading of values by them."""

    def __init__(self, root: Element) -> None:
        self.types: dict[tuple[str, str], str] = {}
        for schema in _schemas(root):
            identity = schema.attributes.get("id", "")
            for field in schema.every("SimpleField"):
                name = field.attributes.get("name", "")
                self.types[identity, name] = field.attributes.get("type", "string")

    def values(self, placemark: Element) -> dict[str, Any]:
        """Return the named values of a placemark; empty ones are None.

        Raises
        ------
        InputRefused
            With the line, for a value that is not of its field's type or a name that stands twice.
        """
        found: dict[str, Any] = {}
        for block in placemark.every("ExtendedData"):
            for element, identity, text in _entries(block):
                name = element.attributes.get("name", "").strip()
                if name in found:
                    raise InputRefused(
                        f"the value {name[:40]!r} stands twice",
                        place=f"line {element.line}",
                        remedy="Keep one.",
                    )
                found[name] = self._typed(text, self.types.get((identity, name)), element)
        return found

    def _typed(self, text: str, kind: str | None, element: Element) -> Any:
        if not text:
            return None
        if kind in TRUTH and text.lower() in TRUTHS:
            return TRUTHS[text.lower()]
        if kind not in WHOLE | REAL:
            return text
        try:
            value = number(text)
            return _whole(value, text) if kind in WHOLE else value
        except ValueError as error:
            raise InputRefused(
                str(error), place=f"line {element.line}", remedy="Correct the value."
            ) from error


def _whole(value: float, text: str) -> int:
    if not value.is_integer() or abs(value) > MOST_WHOLE:
        raise ValueError(f"{text!r} is not a whole number of at most {MOST_WHOLE}")
    return int(value)


def _schemas(element: Element) -> Iterator[Element]:
    """Yield the schemas of all documents; they stand directly in one."""
    yield from element.every("Schema")
    for document in element.every("Document"):
        yield from _schemas(document)


def _entries(block: Element) -> Iterator[tuple[Element, str, str]]:
    """Yield each named value with the id of its schema, if it has one, and its text."""
    for data in block.every("Data"):
        yield data, "", data.text_of("value")
    for table in block.every("SchemaData"):
        identity = table.attributes.get("schemaUrl", "").rpartition("#")[2]
        for simple in table.every("SimpleData"):
            yield simple, identity, simple.text.strip()
