"""The visit page on a phone, and the reply that is handed back."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from lawnmap.exports.visit.page import SCRIPTS, SHEETS
from picturing.sample import Sample, assets, words
from picturing.studio import Studio, settle, shot

WINDOW = (390, 800)


def _pane(page: Any, name: str) -> None:
    page.locator(f".tab-{name}").tap()
    settle(page)


def _lawn(page: Any, name: str) -> None:
    _pane(page, "zones")
    page.locator("#pane-zones .rows button", has_text=name).tap()
    settle(page)


def _part(page: Any, name: str) -> None:
    page.locator(f"#pane-zone [data-part={name}]").tap()
    settle(page)


def _rated(page: Any) -> None:
    _lawn(page, "Main lawn")
    pane = page.locator("#pane-zone")
    pane.get_by_role("group", name="Moss cover, by eye").locator("button").nth(4).tap()
    pane.get_by_role("group", name="Thatch, by eye").locator("button").nth(2).tap()
    page.evaluate("scrollTo(0, 0)")


def _worked(page: Any) -> None:
    _lawn(page, "Main lawn")
    _part(page, "work")


def _sketched(page: Any) -> None:
    _pane(page, "sketch")
    for side, length in {"AB": "8.2", "BC": "6.1", "AC": "10.4", "CD": "7.9", "DA": "6.4"}.items():
        label = "Diagonal AC" if side == "AC" else f"Side {side}"
        page.locator("#pane-sketch").get_by_label(label, exact=True).fill(length)
    page.locator("#pane-sketch").get_by_label("What people call it").fill("Behind the shed")
    page.evaluate("document.activeElement.blur()")


def _reply(page: Any) -> None:
    _rated(page)
    _lawn(page, "Front lawn, west")
    page.locator("#pane-zone").get_by_role("group", name="Moss cover, by eye").locator(
        "button"
    ).nth(1).tap()
    _pane(page, "reply")
    page.get_by_label("Your name").fill("Ada Field (invented)")
    page.evaluate("document.activeElement.blur()")


SHOTS: dict[str, Callable[[Any], None]] = {
    "visit_lawns": lambda page: _pane(page, "zones"),
    "visit_rate": _rated,
    "visit_work": _worked,
    "visit_sketch": _sketched,
    "visit_reply": _reply,
}
NAMES = tuple(SHOTS)


def shows(sample: Sample) -> dict[str, list[str]]:
    """Return what the pictures rest on: words, scripts and styles of the page."""
    made_of = [words(sample.page("visit")), *assets(*SCRIPTS, *SHEETS, "visit/visit.html")]
    return dict.fromkeys(NAMES, made_of)


def take(studio: Studio, sample: Sample, folder: Path) -> Iterator[tuple[str, bytes]]:
    """Take every picture of the page, each in a window of its own."""
    path = folder / "visit.html"
    path.write_bytes(sample.page("visit"))
    for name, before in SHOTS.items():
        with studio.opened(path, WINDOW) as page:
            before(page)
            yield name, shot(page)
