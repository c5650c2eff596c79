"""The map as a client gets it, on a desk and on a phone; its passes close up; its comments."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, NamedTuple

from lawnmap.exports.map.page import SCRIPTS, SHEETS
from picturing.sample import Sample, assets, words
from picturing.studio import PHONE, WIDE, Studio, shot


class Shot(NamedTuple):
    """One picture: the window, what stands behind the address, and what is done before."""

    window: tuple[int, int]
    part: str = ""
    before: Callable[[Any], object] = lambda page: page
    element: str = ""
    dark: bool = False


def _open_zone(page: Any) -> None:
    page.locator("table.zones button", has_text="Main lawn").click()


def _scroll_to_map(page: Any) -> None:
    page.evaluate("document.querySelector('.stage').scrollIntoView()")


def _close_up(page: Any) -> None:
    """Look at the passes on the main lawn from near, without the strips along its edges."""
    for strip in ("Iron: strip along paving and beds", "Iron: nothing put down here"):
        page.get_by_label(strip).uncheck()
    page.evaluate(
        "map_lawnmap.setView([53.400235, 1.90026], map_lawnmap.getZoom() + 1.75, {animate: false})"
    )
    page.evaluate("document.activeElement.blur(); scrollTo(0, 0)")


def _comment(page: Any) -> None:
    section = page.locator(".comments")
    section.get_by_label("Your name").fill("Ada Field (invented)")
    section.locator("textarea").first.fill("Please not on the day of the garden party, 21 October.")
    page.evaluate("document.activeElement.blur()")
    section.scroll_into_view_if_needed()
    page.evaluate("document.querySelector('.comments').scrollIntoView()")


SHOTS = {
    "first_screen": Shot(WIDE),
    "phone": Shot(PHONE),
    "zone": Shot(WIDE, before=_open_zone),
    "phone_zone": Shot(PHONE, before=_open_zone),
    "work_day": Shot(WIDE, "#work/2026-09-15"),
    "phone_map": Shot(PHONE, "#work/2026-09-15", _scroll_to_map),
    "setting_out": Shot(WIDE, "#setting-out"),
    "pass_lines": Shot(WIDE, "#setting-out", _close_up, element=".stage"),
    "dark": Shot(WIDE, "#work/2026-09-15", dark=True),
    "reply_map": Shot(PHONE, before=_comment),
}
NAMES = tuple(SHOTS)


def shows(sample: Sample) -> dict[str, list[str]]:
    """Return what the pictures rest on: words, scripts and styles of the map."""
    made_of = [words(sample.page("map")), *assets(*SCRIPTS, *SHEETS, "map/map.html")]
    return dict.fromkeys(NAMES, made_of)


def take(studio: Studio, sample: Sample, folder: Path) -> Iterator[tuple[str, bytes]]:
    """Take every picture of the map."""
    path = folder / "map.html"
    path.write_bytes(sample.page("map"))
    for name, each in SHOTS.items():
        with studio.opened(path, each.window, part=each.part, dark=each.dark) as page:
            each.before(page)
            yield name, shot(page, each.element)
