"""What must be known before a paper of many sites is acted on, at the top of each."""

from __future__ import annotations

from lawnmap.pages.escape import Html, join, said, tag
from lawnmap.paper import SitesPaper


def cautions(paper: SitesPaper) -> Html:
    """Return the cautions of a paper, a paragraph each; nothing when it has none."""
    return join(tag("p", tag("strong", said(each)), class_="note") for each in paper.cautions)
