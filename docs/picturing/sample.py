"""The invented sample site that every picture shows: its plan and its pages, each made once."""

from __future__ import annotations

import datetime as dt
import re
import shutil
import tempfile
from collections.abc import Iterable
from functools import cache, cached_property
from pathlib import Path

from lawnmap.jobs.calendar import calendar
from lawnmap.jobs.choices import choices
from lawnmap.jobs.export import papers, render
from lawnmap.jobs.opening import Opened, open_site
from lawnmap.jobs.plan import plan
from lawnmap.model import Plan, Specification
from lawnmap.pages.page import asset

DOCS = Path(__file__).parents[1]
FOLDER = DOCS.parent / "sample_geo" / "site"
PLANS = DOCS.parent / "sample_geo" / "plans"
PACKAGE = DOCS.parent / "lawnmap"
TODAY = dt.date(2026, 8, 20)


class Sample:
    """The sample site as it is given to a client on a fixed day."""

    @cached_property
    def opened(self) -> Opened:
        """The site, read."""
        return open_site(FOLDER)

    @cached_property
    def specification(self) -> Specification:
        """Its choices; nobody's own cards are looked into."""
        with tempfile.TemporaryDirectory() as nobody:
            return choices(self.opened, depot=None, personal=Path(nobody), today=TODAY)

    @cached_property
    def plan(self) -> Plan:
        """The plan of the fixed day."""
        return plan(self.opened.site, self.specification, calendar(self.opened), today=TODAY)

    @cache  # noqa: B019 - there is one sample, and it lives as long as the command
    def page(self, to: str) -> bytes:
        """Return the page of an export."""
        return render(self.plan, to).data

    def pdf(self, to: str) -> bytes:
        """Return the PDF of an export."""
        (found,) = papers(self.plan, to, Path(f"{to}.pdf"))
        return found.data

    def copied(self, folder: Path) -> Path:
        """Copy the site folder into another, to be changed there."""
        return Path(shutil.copytree(FOLDER, folder / "garden"))


def words(page: bytes) -> str:
    """Return what a page says: its text without scripts, styles, drawings and markup.

    A last digit of a corner in a drawing may differ from machine to machine, and no picture shows
    it.
    """
    text = page.decode("utf-8")
    bare = re.sub(r"<(script|style|svg)\b.*?</\1>|<[^>]+>", " ", text, flags=re.DOTALL)
    return " ".join(bare.split())


def assets(*names: str) -> Iterable[str]:
    """Return the text of page files of the package."""
    return [asset(name) for name in names]


def room(folder: str, *suffixes: str) -> list[str]:
    """Return the text of every page file in a folder of ``lawnmap/pages``, by name."""
    there = sorted((PACKAGE / "pages" / folder).iterdir())
    return [asset(f"{folder}/{each.name}") for each in there if each.suffix in suffixes]


def sources(*paths: str) -> list[str]:
    """Return the text of modules of the package, for what is too dear to be worked out to check."""
    return [(PACKAGE / path).read_text(encoding="utf-8") for path in paths]
