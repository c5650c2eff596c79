"""What is left over, and how it is kept until when."""

from __future__ import annotations

from lawnmap.exports.wording.amounts import text
from lawnmap.exports.wording.rows import records
from lawnmap.pages.escape import Html, join, said, tag
from lawnmap.pages.words import word
from lawnmap.paper import Paper


def shelf(paper: Paper) -> Html:
    """Return the section; empty when nothing will be left."""
    lines = [
        tag("li", tag("strong", said(text(row.get("product")))), ": ", said(text(row["shelf"])))
        for row in records(paper.plan.totals)
        if text(row.get("shelf"))
    ]
    if not lines:
        return Html()
    listed = tag("ul", join(lines), class_="shelf")
    return tag("section", tag("h2", word("totals.shelf")), listed)
