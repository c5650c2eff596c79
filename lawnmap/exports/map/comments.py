"""What the map needs so that a reader can comment and agree: whom it was for and what it shows."""

from __future__ import annotations

import re
from typing import Any

from lawnmap.pages.escape import Html, tag
from lawnmap.pages.words import starting, word
from lawnmap.paper import Paper

ISSUED = re.compile(r"[0-9a-f]{12}\b")  # what an issue is called begins with its id
ASKED = ("client", "public", "owner")  # a crew works to the plan, and has the visit page


def about(paper: Paper) -> dict[str, Any] | None:
    """Return the site, the issued plan and the words of a reply; None for who is not asked."""
    if paper.audience not in ASKED:
        return None
    site = paper.plan.site
    return {
        "site": {
            "id": site.header.get("site_id", ""),
            "title": site.title,
            "revision": site.revision,
        },
        "issued": issued_id(paper),
        "words": starting("comments"),
    }


def section(paper: Paper) -> Html:
    """Return the section that the page's script fills; without scripts it is not shown."""
    if paper.audience not in ASKED:
        return Html()
    heading = tag("h2", word("comments.title"), id="comments-title")
    return tag("section", heading, class_="live comments", aria_labelledby="comments-title")


def issued_id(paper: Paper) -> str:
    """Return the id of the plan that a paper shows; empty for a trial copy."""
    found = ISSUED.match(paper.issued)
    return found.group() if found else ""
