"""The survey chart: moss and thatch of each zone from survey to survey, as one SVG file.

Attributes only, no ``style``, as in every drawing of ours. What is drawn is also told in words, in
the drawing's description.
"""

from __future__ import annotations

import datetime as dt
import math
from typing import Any

import pandas as pd

from lawnmap.exports.wording.amounts import number
from lawnmap.pages.escape import Html, join, tag
from lawnmap.pages.words import word

WIDTH, MARGIN = 960, 20
TOP, FOOT = 56, 44  # room for the title, and for the key
HEADING, HIGH, GAP = 24, 150, 40  # of one zone: its name, its panels, the room for days below
PANEL, AXIS = 440, 40  # a panel, and the room left of it for figures
INSET_LEFT, INSET_RIGHT = 30, 56  # from the edges of a panel to the first and last survey
LABEL_APART = 78  # of two days, so that both can be read
INK, RULE, PAPER = "#24302a", "#c9d1cb", "#ffffff"
MEASURES = {"moss cover": "#2f6b3a", "thatch": "#7a4a1e"}
SAMPLED = ("counted on points", "cored")
STEPS = (5, 10, 20, 50, 100, 200)
ROOM = 1.08  # above the highest thatch
CAP, DOT, BAR = 5, 4.5, 14
LEVEL, ABOVE, BELOW = "0.35em", "-0.35em", "1.1em"  # of a figure beside its dot
HALO = {"stroke": PAPER, "stroke_width": 4, "paint_order": "stroke"}  # lines pass behind figures


class Panel:
    """One frame for one measure of one zone."""

    def __init__(self, left: float, top: float, days: list[dt.date], most: float) -> None:
        self.left, self.top, self.most = left + AXIS, top, most
        self.first, self.span = days[0], max((days[-1] - days[0]).days, 1)
        self.alone = days[0] == days[-1]
        self.wide = PANEL - AXIS

    def x(self, day: dt.date) -> float:
        """Return where a day is; a single one is in the middle."""
        share = 0.5 if self.alone else (day - self.first).days / self.span
        return self.left + INSET_LEFT + share * (self.wide - INSET_LEFT - INSET_RIGHT)

    def y(self, value: float) -> float:
        """Return how far down a value is."""
        return self.top + HIGH * (1 - min(value, self.most) / self.most)


def chart_svg(table: pd.DataFrame, *, title: str) -> str:
    """Return the chart as an SVG document.

    Parameters
    ----------
    table : DataFrame
        As made by the step ``course``, at least one row.
    title : str
        Of the site.
    """
    days = sorted(set(table["day"]))
    thatch = table.loc[table["measure"] == "thatch", ["at", "low", "high"]].max().max()
    most = {"moss cover": 100.0, "thatch": _most(thatch)}
    zones = list(table.groupby("zone_id", sort=False))
    step = HEADING + HIGH + GAP
    height = TOP + step * len(zones) + FOOT
    parts = [_zone(rows, days, most, TOP + number * step) for number, (_, rows) in enumerate(zones)]
    said = word("survey_chart.title", title=title)
    return tag(
        "svg",
        tag("title", said, id="chart-title"),
        tag("desc", _told(table), id="chart-told"),
        tag("rect", width=WIDTH, height=height, fill=PAPER),
        tag("text", said, x=MARGIN, y=34, font_size=20, font_weight="bold"),
        join(parts),
        _key(height - FOOT + 20),
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {WIDTH} {height}",
        width=WIDTH,
        height=height,
        role="img",
        aria_labelledby="chart-title chart-told",
        font_family="sans-serif",
        font_size=13,
        fill=INK,
    ) + Html("\n")


def _most(thatch: float) -> float:
    """Return the top of the scale of thatch [mm]: a round number with room above."""
    wanted = 0.0 if pd.isna(thatch) else thatch * ROOM
    return float(next((each for each in (20, 40, 60, 100, 200) if each >= wanted), 400))


def _zone(rows: pd.DataFrame, days: list[dt.date], most: dict[str, float], top: float) -> Html:
    first = rows.iloc[0]
    name = f"{first['zone_id']}: {first['name']}" if first["name"] else str(first["zone_id"])
    parts = [tag("text", name, x=MARGIN, y=f"{top + 14:.0f}", font_size=15, font_weight="bold")]
    for place, measure in enumerate(MEASURES):
        left = MARGIN + place * (PANEL + MARGIN)
        panel = Panel(left, top + HEADING, days, most[measure])
        found = rows[rows["measure"] == measure]
        parts += [_frame(panel, measure, days), _seen(panel, found, MEASURES[measure])]
    return tag("g", join(parts))


def _frame(panel: Panel, measure: str, days: list[dt.date]) -> Html:
    """Return the lines and figures of a panel."""
    step = next((each for each in STEPS if panel.most / each <= 5), STEPS[-1])  # noqa: PLR2004
    parts = []
    for value in range(0, int(panel.most) + 1, step):
        y = f"{panel.y(value):.1f}"
        right = f"{panel.left + panel.wide:.1f}"
        parts.append(tag("line", x1=panel.left, y1=y, x2=right, y2=y, stroke=RULE))
        parts.append(
            tag("text", value, x=panel.left - 6, y=y, dy="0.35em", text_anchor="end", font_size=11)
        )
    parts.append(tag("text", word(f"survey_chart.{measure}"), x=panel.left + 4, y=panel.top + 13))
    below, last = panel.top + HIGH, float("inf")
    for day in reversed(days):
        x = panel.x(day)
        if last - x >= LABEL_APART:
            parts.append(_middle(day.isoformat(), x, below + 18))
            last = x
        parts.append(tag("path", d=f"M{x:.1f} {below:.1f}v5", stroke=INK))
    return tag("g", join(parts))


def _seen(panel: Panel, rows: pd.DataFrame, colour: str) -> Html:
    """Return what the surveys saw of one measure, joined by a line."""
    if rows.empty:
        return _middle(
            word("survey_chart.nothing"), panel.left + panel.wide / 2, panel.top + HIGH / 2
        )
    known = rows.dropna(subset=["at"])
    places = [
        f"{panel.x(day):.1f} {panel.y(at):.1f}"
        for day, at in zip(known["day"], known["at"], strict=True)
    ]
    line = tag("path", d="M" + " ".join(places), fill="none", stroke=colour, stroke_width=1.5)
    found = rows.to_dict("records")
    later = [row["at"] for row in found[1:]] + [math.nan]
    marks = [
        _mark(panel, row, colour, _clear(row["at"], then))
        for row, then in zip(found, later, strict=True)
    ]
    return tag("g", line if len(places) > 1 else "", join(marks))


def _clear(now: float, then: float) -> str:
    """Return how far below its dot a figure stands, so that the line to the next look misses it."""
    if pd.isna(now) or pd.isna(then):
        return LEVEL
    return BELOW if then > now else ABOVE


def _mark(panel: Panel, row: dict[Any, Any], colour: str, lower: str) -> Html:
    x, at = panel.x(row["day"]), row["at"]
    if pd.isna(at):
        high = panel.most if pd.isna(row["high"]) else row["high"]
        return _bar(x, panel.y(high), panel.y(row["low"]), colour)
    y = panel.y(at)
    parts = []
    if not pd.isna(row["low"]):
        parts.append(_interval(x, panel.y(row["high"]), panel.y(row["low"]), colour))
    fill = colour if row["rests_on"] in SAMPLED else PAPER
    parts.append(_dot(x, y, fill, colour))
    figure = number(at, 1 if row["unit"] == "mm" else 0)
    parts.append(
        tag("text", figure, x=f"{x + 9:.1f}", y=f"{y:.1f}", dy=lower, font_size=12, **HALO)
    )
    return tag("g", join(parts))


def _dot(x: float, y: float, fill: str, colour: str) -> Html:
    return tag(
        "circle", cx=f"{x:.1f}", cy=f"{y:.1f}", r=DOT, fill=fill, stroke=colour, stroke_width=1.5
    )


def _interval(x: float, high: float, low: float, colour: str) -> Html:
    data = f"M{x - CAP:.1f} {high:.1f}h{2 * CAP}M{x:.1f} {high:.1f}V{low:.1f}"
    data += f"M{x - CAP:.1f} {low:.1f}h{2 * CAP}"
    return tag("path", d=data, fill="none", stroke=colour, stroke_width=1.5)


def _bar(x: float, high: float, low: float, colour: str) -> Html:
    return tag(
        "rect", x=f"{x - BAR / 2:.1f}", y=f"{high:.1f}", width=BAR, height=f"{low - high:.1f}",
        fill="none", stroke=colour, stroke_dasharray="4 3",
    )  # fmt: skip


def _middle(text: str, x: float, y: float) -> Html:
    return tag("text", text, x=f"{x:.1f}", y=f"{y:.1f}", text_anchor="middle", font_size=12)


def _key(y: float) -> Html:
    """Return what the marks mean."""
    x = MARGIN + AXIS
    marks = [
        (join([_interval(x, y - 8, y + 8, INK), _dot(x, y, INK, INK)]), "survey_chart.counted", 0),
        (_dot(x + 330, y, PAPER, INK), "survey_chart.figure", 330),
        (_bar(x + 460, y - 8, y + 8, INK), "survey_chart.rated", 460),
    ]
    return join(
        join([mark, tag("text", word(key), x=x + across + 14, y=y, dy="0.35em", font_size=12)])
        for mark, key, across in marks
    )


def _told(table: pd.DataFrame) -> str:
    """Return all that is drawn, in words."""
    said = []
    for (zone_id, measure), rows in table.groupby(["zone_id", "measure"], sort=False):
        looks = "; ".join(_look(row) for row in rows.to_dict("records"))
        said.append(f"{zone_id}, {measure}: {looks}.")
    return " ".join(said)


def _look(row: dict[Any, Any]) -> str:
    digits = 1 if row["unit"] == "mm" else 0
    low, high = (
        "?" if pd.isna(row[name]) else number(row[name], digits) for name in ("low", "high")
    )
    if pd.isna(row["at"]):
        band = f"over {low}" if high == "?" else f"{low} to {high}"
        return f"{row['day']} {band} {row['unit']} ({row['rests_on']})"
    span = "" if low == "?" else f" ({low} to {high})"
    return f"{row['day']} {number(row['at'], digits)} {row['unit']}{span}"
