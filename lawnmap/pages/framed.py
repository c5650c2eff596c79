"""A whole page in a frame within another page, each with its own rules."""

from __future__ import annotations

import html

from lawnmap.pages.escape import Html

# Its scripts run, it may be printed, and what it offers may be saved. It cannot see what is round
# it: without allow-same-origin it is of no place at all.
ALLOWED = "allow-scripts allow-downloads allow-modals allow-popups"


def framed(page: str, *, title: str, height: int) -> Html:
    """Return an element that shows a page whole.

    Parameters
    ----------
    page : str
        A document of HTML with a policy of its own, which holds within the frame as well.
    title : str
        What it is, for those who do not see it.
    height : int
        Of the frame [px].

    Returns
    -------
    Html

    Examples
    --------
    >>> framed("<p>A & B</p>", title="map", height=200)[:57]
    '<iframe title="map" srcdoc="&lt;p&gt;A &amp; B&lt;/p&gt;"'
    """
    # An attribute is read back once: what is escaped in the page has to be escaped again.
    held = html.escape(page, quote=True)
    return Html(
        f'<iframe title="{html.escape(title)}" srcdoc="{held}" sandbox="{ALLOWED}" '
        f'width="100%" height="{int(height)}" style="border: 1px solid #888"></iframe>'
    )
