"""Why anything is done, in a line or two: likely causes, and what was weighed and left out."""

from __future__ import annotations

from collections import Counter

from lawnmap.exports.wording.amounts import number, text
from lawnmap.exports.wording.listing import doing, listed
from lawnmap.exports.wording.rows import records, zone_rows
from lawnmap.pages.escape import Html, said, tag
from lawnmap.pages.words import word
from lawnmap.paper import Paper
from lawnmap.schema import NOT_ALLOWED, NOT_NEEDED

UNSEEN = "stop_unseen"  # the remedy of a cause that nobody has looked for
MOST_NAMES = 6


def considered(paper: Paper) -> Html:
    """Return in a line or two what causes the moss, and what was weighed and left out."""
    parts = []
    found = _causes(paper)
    if found:
        parts.append(word("front.causes", causes=listed(_often(found))))
    elif any(text(row.get("causes")) for _, row in zone_rows(paper.plan.zones)):
        parts.append(word("front.no_causes"))
    left = Counter(
        doing(text(row["operation"]))
        for row in records(paper.plan.steps)
        if row.get("status") in {NOT_NEEDED, NOT_ALLOWED}
    )
    if left:
        parts.append(word("front.left_out", work=listed(_often(left))))
    return tag("span", said(" ".join(parts)), class_="plain") if parts else Html()


def _causes(paper: Paper) -> Counter[str]:
    """Return how many zones each cause was seen in, without the figures behind it."""
    return Counter(
        cause.partition(" (")[0]
        for _, row in zone_rows(paper.plan.zones)
        if text(row.get("causes")) and text(row.get("stop_it_rules")) != UNSEEN
        for cause in text(row["causes"]).split("; ")
    )


def _often(found: Counter[str]) -> list[str]:
    return [
        word("front.times", what=what, count=number(count))
        for what, count in found.most_common(MOST_NAMES)
    ]
