"""A small table as HTML, for where a page would be too much, as under a cell of a notebook."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from lawnmap.pages.escape import Html, tag

MOST_ROWS = 20


def short_table(caption: str, head: Sequence[str], rows: Iterable[Sequence[object]]) -> Html:
    """Return a table of at most twenty rows, and how many more there are.

    Parameters
    ----------
    caption : str
        What stands above it.
    head : sequence of str
        Names of the columns.
    rows : iterable of sequence
        Cells, which are escaped.

    Returns
    -------
    Html

    Examples
    --------
    >>> short_table("Zones", ["zone"], [["<front>"]]).startswith("<div><p>Zones</p><table>")
    True
    """
    every = list(rows)
    body = [tag("tr", *(tag("td", cell) for cell in row)) for row in every[:MOST_ROWS]]
    more = len(every) - MOST_ROWS
    return tag(
        "div",
        tag("p", caption),
        tag(
            "table",
            tag("thead", tag("tr", *(tag("th", name) for name in head))),
            tag("tbody", *body),
        ),
        *([tag("p", f"and {more} more")] if more > 0 else []),
    )
