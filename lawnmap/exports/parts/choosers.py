"""What the reader of a map chooses for the whole page: its units, and light, dark or contrast."""

from __future__ import annotations

from lawnmap.agronomy.unit_systems import SYSTEMS
from lawnmap.exports.wording.switched import FIRST, first
from lawnmap.pages.escape import Html, tag
from lawnmap.pages.words import word


def units(shown: str) -> Html:
    """Return the choice of units; nothing on a page that has but one system."""
    if shown not in FIRST:
        return Html()
    choices = [
        tag(
            "label",
            tag("input", type="radio", name_="units", value=each, checked=each == first(shown)),
            tag("span", word(f"units.{each}")),
        )
        for each in SYSTEMS
    ]
    return tag("fieldset", tag("legend", word("units.title")), *choices, class_="live units")


def looks() -> Html:
    """Return the choice between light, dark and high contrast."""
    options = [
        tag("option", word(f"look.{name}"), value="" if name == "device" else name)
        for name in ("device", "light", "dark", "contrast")
    ]
    name = tag("span", word("look.title"))
    return tag("label", name, tag("select", *options), class_="live looks")
