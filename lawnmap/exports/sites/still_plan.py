"""The still map of sites as one SVG drawing: for paper, and where scripts are blocked."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import numpy.typing as npt

from lawnmap.exports.drawing.outline_svg import INK, WIDTH, Sheet, north_arrow, scale_bar
from lawnmap.exports.sites.places import Marks, plane, summed
from lawnmap.exports.sites.states import STATES
from lawnmap.exports.wording.amounts import number
from lawnmap.pages.escape import Html, join, tag
from lawnmap.pages.words import word

ONE_BY_ONE = 300  # marks up to which each site is drawn by itself
ACROSS = 22  # squares of sums else, so that their numbers can be read on A4
LEAST, MOST = 5.0, 14.0  # radius of a site's mark
SUM = 13.0  # and of a sum's, which holds a number
RING = 4.0
CORNERS = 36  # of a whole ring
EDGE_M = 150.0  # room round the outermost sites
EDGE = 0.04
SHRINK = 0.55  # of a letter's width to its height
NAME = 15
ABOVE = (14, 30, 46, 62)  # the marks that a name tells of, as there is room

Floats = npt.NDArray[np.float64]
Names = Sequence[tuple[str, tuple[float, float]]]
Box = tuple[float, float, float, float]  # middle and half width, middle and half height


def still_plan(of: Marks, units: str, names: Names) -> Html:
    """Return the drawing.

    Parameters
    ----------
    of : Marks
        At least one.
    units : str
        Of the scale bar.
    names : sequence of (name, (longitude, latitude))
        What is written on it, such as regions where their sites lie.
    """
    drawn = of if len(of.places) <= ONE_BY_ONE else summed(of, ACROSS)
    written = np.array([at for _, at in names], dtype=np.float64).reshape(-1, 2)
    metres = plane(
        np.append(drawn.longitude, written[:, 0]), np.append(drawn.latitude, written[:, 1])
    )
    sheet = Sheet(_bounds(metres[: len(drawn.places)]))
    at = sheet.place(metres)
    order = np.argsort(-drawn.ground, kind="stable")
    radii = radius(drawn)
    shapes = [_mark(drawn, place, at[place], float(radii[place])) for place in order]
    taken = [(x, r, y, r) for (x, y), r in zip(at.tolist(), radii.tolist(), strict=False)]
    lettered = _names([name for name, _ in names], at[len(drawn.places) :], taken)
    return tag(
        "svg",
        tag("title", word("sites.plan")),
        tag("rect", width=WIDTH, height=f"{sheet.height:.0f}", fill="#edeeec"),
        join(shapes),
        join(lettered),
        scale_bar(sheet, units),
        north_arrow(WIDTH - 26, sheet.height - 31),
        class_="plan",
        viewBox=f"0 0 {WIDTH} {sheet.height:.0f}",
        role="img",
        font_family="sans-serif",
    )


def radius(of: Marks) -> Floats:
    """Return the radius of each mark: its area is as the ground, within what can be seen."""
    largest = max(float(of.ground.max(initial=0.0)), 1.0)
    sized = MOST * np.sqrt(of.ground / largest)
    return np.where(of.places < 0, np.maximum(sized, SUM), np.clip(sized, LEAST, MOST))


def _bounds(metres: Floats) -> tuple[float, float, float, float]:
    low, high = metres.min(axis=0), metres.max(axis=0)
    edge = max(EDGE_M, EDGE * float((high - low).max()))
    (west, south), (east, north) = low - edge, high + edge
    return float(west), float(south), float(east), float(north)


def _mark(of: Marks, place: int, at: Floats, size: float) -> Html:
    moved = f"translate({at[0]:.1f} {at[1]:.1f})"
    if of.places[place] >= 0:
        look = list(STATES.values())[int(of.states[place].argmax())]
        shape = tag("path", d=look.path, fill=look.fill, stroke=INK,
                    stroke_width=f"{1.2 / size:.3f}")  # fmt: skip
        return tag("g", shape, transform=f"{moved} scale({size:.2f})")
    label = number(float(of.count[place]))
    figure = tag("text", label, y=4.5, text_anchor="middle", font_size=12, font_weight="bold")
    ground = tag("circle", r=f"{size:.1f}", fill="#ffffff", stroke=INK)
    ring = join(_ring(of.states[place], size - RING / 2))
    return tag("g", ground, ring, figure, transform=moved, fill=INK)


def _ring(counts: npt.NDArray[np.intp], size: float) -> Iterator[Html]:
    """Yield a ring of the states in a sum, each as long as its share."""
    whole, turned = int(counts.sum()), 0.0
    for look, count in zip(STATES.values(), counts.tolist(), strict=True):
        if not count:
            continue
        end = turned + count / whole
        corners = np.linspace(turned, end, 2 + int((end - turned) * CORNERS)) * 2 * np.pi
        places = zip(size * np.sin(corners), -size * np.cos(corners), strict=True)
        line = "M" + " ".join(f"{x:.1f} {y:.1f}" for x, y in places)
        yield tag("path", d=line, fill="none", stroke=look.fill, stroke_width=RING)
        turned = end


def _names(names: Sequence[str], at: Floats, taken: list[Box]) -> Iterator[Html]:
    """Yield each name where it hides neither a mark nor a name before it; else it is left out."""
    for name, (middle, edge) in zip(names, at.tolist(), strict=True):
        half = len(name) * NAME * SHRINK / 2
        x = min(max(middle, half), WIDTH - half)
        tries = ((x, half, max(edge - above, float(NAME)), NAME / 2) for above in ABOVE)
        box = next((each for each in tries if _free(each, taken)), None)
        if box is None:
            continue
        taken.append(box)
        shown: dict[str, object] = {"x": f"{x:.1f}", "y": f"{box[2] + NAME / 3:.1f}"}
        shown |= {"text_anchor": "middle", "font_size": NAME, "font_weight": "bold"}
        yield tag("text", name, **shown, stroke="#ffffff", stroke_width=4)
        yield tag("text", name, **shown, fill=INK)


def _free(box: Box, taken: Sequence[Box]) -> bool:
    x, wide, y, high = box
    return all(abs(a - x) >= b + wide or abs(c - y) >= d + high for a, b, c, d in taken)
