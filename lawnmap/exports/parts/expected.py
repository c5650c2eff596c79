"""What people will see after the work, so that a black and thin lawn alarms nobody."""

from __future__ import annotations

from collections.abc import Iterable

from lawnmap.exports.wording.iron_work import IRON
from lawnmap.exports.wording.rows import records
from lawnmap.exports.wording.sentences import sentence
from lawnmap.pages.escape import Html, join, said, tag
from lawnmap.paper import Paper
from lawnmap.schema import DO

SEEN = {
    **dict.fromkeys(IRON, "seen_iron"),
    "raking": "seen_blades",
    "scarifying": "seen_blades",
    "overseeding": "seen_seed",
}


def rules(operations: Iterable[str]) -> list[str]:
    """Return the rules that say what is seen after these operations, in the order of the work."""
    asked = {SEEN[each] for each in operations if each in SEEN}
    return [each for each in dict.fromkeys(SEEN.values()) if each in asked]


def expected(paper: Paper) -> Html:
    """Return what will be seen after the work of a plan; nothing when nothing will."""
    done = [row["operation"] for row in records(paper.plan.steps) if row.get("status") == DO]
    lines = [tag("li", said(sentence(each, {}, paper.units))) for each in rules(done)]
    return tag("ul", join(lines), class_="seen") if lines else Html()
