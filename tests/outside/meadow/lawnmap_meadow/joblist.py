"""The work as a list to tick off, in Markdown (CommonMark)."""

from __future__ import annotations

import re

import pandas as pd

from lawnmap.paper import Paper

TITLE = "job list (Markdown)"
SUFFIX = ".md"
AUDIENCE = "crew"

MARKS = re.compile(r"([\\`*_\[\]<>&~|#])")  # what may mean something in Markdown


def render(paper: Paper) -> bytes:
    """Return the list, day by day; what the audience may not see is not in the paper."""
    plan = paper.plan
    names = plan.zones["name"] if "name" in plan.zones else pd.Series(dtype=object)
    lines = [f"# {plain(plan.site.title)}", ""]
    todo = plan.steps[plan.steps["status"] == "do"]
    for day, rows in todo.groupby(todo["day"].replace("", "no day yet"), sort=True):
        lines += [f"## {plain(day)}", ""]
        lines += [_line(each, names) for each in rows.to_dict("records")]
        lines.append("")
    if plan.cautions:
        lines += ["## Take care", "", *(f"* {plain(each)}" for each in plan.cautions), ""]
    return "\n".join(lines).encode("utf-8")


def _line(step: dict[str, object], names: pd.Series) -> str:
    zone = names.get(step["zone_id"]) or step["zone_id"]
    parts = [f"{zone}: {str(step['operation']).replace('_', ' ')}", f"{step['area_m2']:.0f} m²"]
    if pd.notna(step.get("amount")):
        parts.append(f"{step['amount']:.0f} {step['unit']}")
    if pd.notna(step.get("hours")):
        parts.append(f"at most {step['hours']:.1f} h")
    return f"- [ ] {plain(', '.join(parts))}"


def plain(text: object) -> str:
    """Return text on one line in which nothing is taken for Markdown."""
    return MARKS.sub(r"\\\1", " ".join(str(text).split()))
