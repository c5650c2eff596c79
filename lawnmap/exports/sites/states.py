"""How a site stands: what is to be done there, was done, or keeps it from being planned."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import pandas as pd

from lawnmap.pages.escape import Html, tag
from lawnmap.paper import SitesPaper
from lawnmap.schema import DONE

INK = "#24302a"


class Look(NamedTuple):
    """How a state is drawn: a shape within a circle of radius 1, told apart without its colour."""

    fill: str
    path: str


# As quarters with handles, which every reader of paths draws; the PDF twin knows no arcs.
CIRCLE = "M-1 0C-1-.5523-.5523-1 0-1C.5523-1 1-.5523 1 0C1 .5523 .5523 1 0 1C-.5523 1-1 .5523-1 0z"
CROSS = "M-1.1-.6-.6-1.1 0-.5.6-1.1 1.1-.6.5 0 1.1.6.6 1.1 0 .5-.6 1.1-1.1.6-.5 0z"
STATES = {
    "planned": Look("#1f6f8b", CIRCLE),
    "done": Look("#8f9691", "M-.9-.9H.9V.9H-.9z"),
    "stopped": Look("#b5472a", "M0-1.2 1.12.8H-1.12z"),
    "unrated": Look("#e3b23c", "M0-1.2 1.2 0 0 1.2-1.2 0z"),
    "nothing": Look("#ffffff", CIRCLE),
    "empty": Look("#ffffff", "M-.9-.9H.9V.9H-.9z"),
    "trouble": Look("#5b1408", CROSS),
}


def states(paper: SitesPaper) -> npt.NDArray[np.intp]:
    """Return the state of each site as its place in STATES."""
    sites, needs = paper.table("sites"), paper.table("site_needs")
    done = set(needs.loc[needs["status"] == DONE, "site_id"]) if len(needs) else set()
    unknown = sites["zones"].isna()
    if "trouble" in sites.columns:
        unknown |= ~blank(sites["trouble"])
    found = {
        "trouble": unknown,
        "planned": sites["worked"] > 0,
        "done": sites["site_id"].isin(done),
        "stopped": sites["stopped"] > 0,
        "unrated": sites["unrated"] > 0,
        "empty": sites["zones"] == 0,
    }
    order = list(STATES)
    codes = [order.index(name) for name in found]
    return np.select([each.to_numpy(dtype=bool) for each in found.values()], codes,
                     order.index("nothing")).astype(np.intp)  # fmt: skip


def blank(column: pd.Series) -> pd.Series:
    """Tell which cells of a column say nothing; at once, for there may be millions."""
    return column.isna() | (column == "")


def mark(name: str) -> Html:
    """Return the mark of a state as a small drawing for legend and list."""
    look = STATES[name]
    shape = tag("path", d=look.path, fill=look.fill, stroke=INK, stroke_width=0.22)
    return tag("svg", shape, class_="mark", viewBox="-1.5 -1.5 3 3", aria_hidden="true")
