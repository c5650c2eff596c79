"""What commands print, set on a page in our own style: text, and no photograph of a shell."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from lawnmap.cli import plan_text, told, trace_text
from lawnmap.jobs.check import check
from lawnmap.jobs.measure import measure
from lawnmap.jobs.trace import trace
from lawnmap.pages.escape import escape
from lawnmap.pages.page import asset
from picturing.sample import Sample
from picturing.studio import Studio, shot

ZONE = "bank-west"
UNITS = "metric"
LINES = 34  # shown of what is longer
COLUMNS = 118
WINDOW = (1000, 400)
TYPED = {
    "terminal_measure": "lawnmap measure garden",
    "terminal_plan": f"lawnmap plan garden --zone {ZONE}",
    "terminal_why": f"lawnmap plan garden --why {ZONE}",
    "terminal_check": "lawnmap check garden",
}
NAMES = tuple(TYPED)
STYLE = """
body { background: var(--card); padding: 1rem; }
pre {
  display: inline-block; margin: 0; padding: 0.9rem 1.1rem;
  border: 1px solid var(--rule); border-radius: 6px; background: var(--paper);
  font: 13px/1.5 "DejaVu Sans Mono", monospace; white-space: pre;
}
b { color: var(--deep); }
"""


def printed(sample: Sample) -> dict[str, str]:
    """Return what each command prints to standard output."""
    made = sample.plan
    return {
        "terminal_measure": told.areas_text(measure(sample.opened.site).zones, UNITS),
        "terminal_plan": plan_text.text(plan_text.narrowed(made, ZONE), UNITS),
        "terminal_why": trace_text.text(ZONE, trace(made, ZONE)),
        "terminal_check": told.findings(check(sample.opened.site, sample.specification)),
    }


def shows(sample: Sample) -> dict[str, list[str]]:
    """Return what the pictures rest on: what is typed, what is printed, and the style."""
    return {
        name: [TYPED[name], _cut(text), STYLE, asset("base.css")]
        for name, text in printed(sample).items()
    }


def take(studio: Studio, sample: Sample, folder: Path) -> Iterator[tuple[str, bytes]]:
    """Set each on a page and take it."""
    for name, text in printed(sample).items():
        path = folder / f"{name}.html"
        screen = f"<pre><b>$ {escape(TYPED[name])}</b>\n{escape(_cut(text))}</pre>"
        styles = f"<style>{asset('base.css')}{STYLE}</style>"
        path.write_text(f"<!DOCTYPE html><meta charset=utf-8>{styles}{screen}", encoding="utf-8")
        with studio.opened(path, WINDOW) as page:
            yield name, shot(page, "pre")


def _cut(text: str) -> str:
    """Return the first lines of a long text, and … for the rest of each and of all."""
    lines = text.splitlines()
    short = [each if len(each) <= COLUMNS else each[: COLUMNS - 1] + "…" for each in lines]
    return "\n".join(short if len(short) <= LINES else [*short[:LINES], "…"])
