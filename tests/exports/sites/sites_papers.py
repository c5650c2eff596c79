"""Papers of invented sites, each with another word in every place that holds one."""

from __future__ import annotations

from typing import Any

from lawnmap.paper import SitesPaper
from lawnmap.processing.many.disclosed import disclosed
from tests import sites_tables

CHOICES = {"money": {"currency": "EUR", "decimals": 2}, "contact": "The office of the harbour"}


def paper(count: int, audience: str = "owner", **given: Any) -> SitesPaper:
    """Return a paper of so many sites."""
    made = sites_tables.tables(count)
    made |= sites_tables.dated(made["sites"])
    return disclosed(
        made, audience, title="Lawns of the harbour", today=sites_tables.TODAY, choices=CHOICES,
        **given,
    )  # fmt: skip


def said(words: list[str], place: str) -> list[str]:
    """Return each word with what tells it from the same word elsewhere."""
    return [f"{word} {place}{number};" for number, word in enumerate(words)]


PLACES = ("title", "id", "region", "depot", "trouble", "product", "machine", "zone")


def saying(words: list[str], audience: str = "owner") -> SitesPaper:
    """Return a paper of as many sites that has each word in every place for words."""
    of = {place: said(words, place) for place in PLACES}
    sites = sites_tables.sites(len(words))
    sites["trouble"] = of["trouble"]
    needs = sites_tables.needs(sites.assign(trouble=""))
    hours = sites_tables.hours(sites)
    dated = sites_tables.dated(sites)
    made: dict[str, Any] = {"sites": sites, "site_needs": needs, "site_hours": hours} | dated
    number = dict(zip(sites["site_id"], range(len(words)), strict=True))
    for name, table in made.items():
        at = table["site_id"].map(number)
        own: dict[str, list[str]] = {
            "title": of["title"], "site_id": of["id"], "region": of["region"],
            "depot": of["depot"], "machine": of["machine"], "name": of["zone"],
        }  # fmt: skip
        changed = {
            column: [texts[each] for each in at]
            for column, texts in own.items()
            if column in table.columns
        }
        if "product" in table.columns:
            full = zip(table["product"], at, strict=True)
            changed["product"] = [of["product"][each] if product else "" for product, each in full]
        made[name] = table.assign(**changed)
    made["totals_by"] = sites_tables.totals_by(made["site_needs"], made["site_hours"])
    made["depot_shopping"] = sites_tables.depot_shopping(made["site_needs"], {})
    made["depot_machines"] = sites_tables.depot_machines(made["site_hours"], {})
    return disclosed(
        made, audience, title=" | ".join(said(words, "paper")), today=sites_tables.TODAY,
        choices={**CHOICES, "contact": " | ".join(said(words, "contact"))},
    )  # fmt: skip
