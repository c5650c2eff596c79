"""Take the pictures of map.md from the map of the sample, in headless Chromium.

``python docs/map_pictures.py`` takes them again; ``--check`` takes nothing and leaves with 1
when the map says, looks or works otherwise than when they were taken. What decides that are the
words of the page and its own scripts and styles, not its bytes: a last digit of a corner may differ
from machine to machine, and no picture shows it.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import io
import re
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

from lawnmap.exports.map.page import SCRIPTS, SHEETS
from lawnmap.jobs.calendar import calendar
from lawnmap.jobs.choices import choices
from lawnmap.jobs.export import render
from lawnmap.jobs.opening import open_site
from lawnmap.jobs.plan import plan
from lawnmap.pages.page import asset

DOCS = Path(__file__).parent
SAMPLE = DOCS.parent / "sample_geo" / "site"
PICTURES = DOCS / "pictures"
TAKEN_OF = PICTURES / "map.sha256"
TODAY = dt.date(2026, 8, 20)
CHROMIUM = "/usr/bin/chromium"
COLOURS = 192  # flat colours: more do not show
WIDE, PHONE = (1280, 800), (390, 760)


class Shot(NamedTuple):
    """One picture: the window, the address behind the page's own, and what is done before."""

    window: tuple[int, int]
    address: str = ""
    before: Callable[[Any], object] = lambda page: page


def _open_zone(page: Any) -> None:
    page.locator("table.zones button", has_text="Main lawn").click()


def _scroll_to_map(page: Any) -> None:
    page.locator(".chooser").scroll_into_view_if_needed()
    page.evaluate("document.querySelector('.stage').scrollIntoView()")


SHOTS = {
    "first_screen": Shot(WIDE),
    "phone": Shot(PHONE),
    "zone": Shot(WIDE, before=_open_zone),
    "phone_zone": Shot(PHONE, before=_open_zone),
    "work_day": Shot(WIDE, "#work/2026-09-15"),
    "phone_map": Shot(PHONE, "#work/2026-09-15", _scroll_to_map),
    "setting_out": Shot(WIDE, "#setting-out"),
}


def page_of_sample() -> bytes:
    """Return the map of the sample site as it is given to a client."""
    opened = open_site(SAMPLE)
    with tempfile.TemporaryDirectory() as nobody:
        found = choices(opened, depot=None, personal=Path(nobody), today=TODAY)
    return render(plan(opened.site, found, calendar(opened), today=TODAY), "map").data


def taken_of(page: bytes) -> str:
    """Return a digest of what the pictures show: words, scripts and styles."""
    text = page.decode("utf-8")
    words = re.sub(r"<(script|style|svg)\b.*?</\1>|<[^>]+>", " ", text, flags=re.DOTALL)
    made_of = [" ".join(words.split()), *map(asset, (*SCRIPTS, *SHEETS, "map/map.html"))]
    return hashlib.sha256("\n".join(made_of).encode("utf-8")).hexdigest()


def take(page: bytes) -> None:
    """Take every picture and write down of what."""
    from playwright.sync_api import sync_playwright

    PICTURES.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as play:
        path = Path(folder) / "map.html"
        path.write_bytes(page)
        browser = play.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        for name, shot in SHOTS.items():
            width, height = shot.window
            view = browser.new_page(viewport={"width": width, "height": height})
            view.goto(path.as_uri() + shot.address)
            view.wait_for_timeout(400)
            shot.before(view)
            view.wait_for_timeout(400)
            (PICTURES / f"{name}.png").write_bytes(_small(view.screenshot()))
            view.close()
        browser.close()
    TAKEN_OF.write_text(taken_of(page) + "\n", encoding="ascii")


def _small(png: bytes) -> bytes:
    from PIL import Image

    stream = io.BytesIO()
    Image.open(io.BytesIO(png)).convert("RGB").quantize(COLOURS).save(stream, "PNG", optimize=True)
    return stream.getvalue()


def main(arguments: list[str]) -> int:
    """Take the pictures, or check that they are those of today's map."""
    page = page_of_sample()
    if arguments == ["--check"]:
        kept = TAKEN_OF.read_text(encoding="ascii").strip() if TAKEN_OF.exists() else ""
        if kept == taken_of(page):
            return 0
        print("The map is not what its pictures show: run python docs/map_pictures.py")
        return 1
    take(page)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
