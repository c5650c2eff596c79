"""The invented plan with days, for the papers of a crew; and its pages read by another's parser."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from html.parser import HTMLParser

import pandas as pd

from lawnmap.days import Dates
from lawnmap.paper import Paper
from tests.exports.papers import paper

# Scarifying takes two days, so that something goes on; the croquet lawn has no day at all.
DAYS = {
    "mowing": "2027-08-23",
    "iron_soluble": "2027-08-24",
    "scarifying": "2027-09-07",
    "clearing": "2027-09-07",
    "overseeding": "2027-10-05",
}
LAST = "2027-09-08"
KINDS = {
    "mowing": "hand",
    "iron_soluble": "spray",
    "scarifying": "blades",
    "clearing": "collection",
    "overseeding": "seed",
    "feeding": "granules",
}
MACHINES = {"petrol scarifier": "petrol", "watering can": "can"}
NO_DAY = "z9"
VISITS = ("2027-08-23", "2027-08-24", "2027-09-07", LAST, "2027-10-05")


def dated(*args, audience="crew", **changes) -> Paper:
    """Return a paper of the invented plan whose steps have days."""
    given = paper(*args, audience=audience, **changes)
    steps = given.plan.steps
    days = steps["operation"].map(DAYS).where(steps["zone_id"] != NO_DAY)
    two = steps["operation"].isin(["scarifying", "clearing"]) & days.notna()
    steps = steps.assign(
        day=days.fillna(""),
        day_last=pd.Series(LAST, steps.index, dtype=object).where(two, ""),
        days=days.notna().astype(float) + two,
        day_why=pd.Series("wait for rain", steps.index).where(days.isna(), ""),
        kind=steps["operation"].map(KINDS).fillna(""),
        machine_kind=steps["machine"].map(MACHINES).fillna(""),
    )
    days_of_visit = tuple(dt.date.fromisoformat(each) for each in VISITS)
    plan = replace(given.plan, steps=steps, dates=Dates(visits=days_of_visit))
    return given.of(plan=plan)


class Sections(HTMLParser):
    """What is said in each section of a day, by the day; and how many boxes stand in it."""

    def __init__(self) -> None:
        super().__init__()
        self.said: dict[str, list[str]] = {}
        self.boxes: dict[str, int] = {}
        self.found: list[str] = []
        self._inside: list[str | None] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        if tag == "section":
            self._inside.append(given.get("data-day"))
            if "data-day" in given:
                self.found.append(given["data-day"] or "")
        elif given.get("class") == "box" and self._day is not None:
            self.boxes[self._day] = self.boxes.get(self._day, 0) + 1

    def handle_endtag(self, tag: str) -> None:
        if tag == "section":
            self._inside.pop()

    def handle_data(self, data: str) -> None:
        if self._day is not None:
            plain = data.replace("\u00a0", " ").replace("\u202f", " ")
            self.said.setdefault(self._day, []).append(plain)

    @property
    def _day(self) -> str | None:
        return next((each for each in reversed(self._inside) if each is not None), None)

    def text(self, day: str) -> str:
        """Return all that is said on the page of a day."""
        return "|".join(self.said.get(day, ()))


def sections(data: bytes) -> Sections:
    """Return the sections of a page, read by the parser of the standard library."""
    found = Sections()
    found.feed(data.decode())
    return found
