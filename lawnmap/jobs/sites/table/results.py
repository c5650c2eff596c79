"""What the partitions of a table come to: the tables of many sites, joined from their files.

Up to `LISTED` sites have their needs one by one in tables and papers. Of more there are sums only,
found partition by partition; the rows of each site lie in the files of the partitions. From `MOST`
sites on even their list is too long to be held: there is then one row for each region and depot.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

import pandas as pd

from lawnmap import schema
from lawnmap.errors import InputRefused
from lawnmap.exports.gis.csv_table import encoded
from lawnmap.files.commit import commit, sweep
from lawnmap.jobs.sites.door.content import ZONES
from lawnmap.jobs.sites.door.trouble import Skipped, by_site
from lawnmap.jobs.sites.engine import partitions
from lawnmap.jobs.sites.engine.whole_sites import Reduced
from lawnmap.jobs.sites.planned import Trouble
from lawnmap.jobs.sites.written import gone
from lawnmap.model import Specification
from lawnmap.processing.many.depots import depot_machines, depot_shopping
from lawnmap.processing.many.totals_by import joined, totals_by
from lawnmap.schema import DO, PRICING

LISTED = 20_000
MOST = 1_000_000
SKIPPED = "skipped.csv"
SITES, NEEDS, HOURS = "sites", "site_needs", "site_hours"

Tables = dict[str, pd.DataFrame]
EMPTY: Mapping[str, int] = {}


def tables(
    folder: Path,
    parts: Sequence[Reduced],
    specification: Specification,
    skipped: Sequence[Skipped],
    of_site: Mapping[str, int] = EMPTY,
) -> Tables:
    """Return all tables by their names in the schema.

    Parameters
    ----------
    folder : Path
        Of the tables of all partitions.
    parts : sequence of Reduced
        By number.
    specification : Specification
        With the cards and machines that all depots have.
    skipped : sequence of Skipped
        Zones and features that were left out: their sites say so.
    of_site : mapping of str to int
        How many more were left out of a site.
    """
    numbers = [each.number for each in parts]
    many = sum(partitions.rows(folder, SITES, number) for number in numbers)
    one_by_one = many <= LISTED
    sites = (
        _told(_whole(SITES, folder, numbers), skipped, of_site)
        if many <= MOST
        else _regions(folder, numbers)
    )
    if one_by_one:
        needs, hours = (_whole(name, folder, numbers) for name in (NEEDS, HOURS))
        totals = totals_by(needs, hours)
    else:
        needs, hours = (_by_depot(name, folder, numbers) for name in (NEEDS, HOURS))
        totals = joined(each.totals for each in parts)
    cards = _cards(sorted({*needs["depot"], *hours["depot"]}), specification)
    shopping, machines = depot_shopping(needs, cards), depot_machines(hours, cards)
    if not one_by_one:
        shopping = _counted(shopping, NEEDS, folder, numbers)
        machines = _counted(machines, HOURS, folder, numbers)
    return {
        SITES: sites,
        NEEDS: needs if one_by_one else needs.iloc[:0],
        HOURS: hours if one_by_one else hours.iloc[:0],
        "totals_by": totals,
        "depot_shopping": shopping,
        "depot_machines": machines,
    }


def troubles(sites: pd.DataFrame) -> tuple[Trouble, ...]:
    """Return why sites could not be worked out whole."""
    bad = sites[sites["trouble"] != ""]
    return tuple(
        Trouble(str(site_id), str(told), InputRefused.exit_code)
        for site_id, told in zip(bad["site_id"], bad["trouble"], strict=True)
    )


def listed(skipped: Sequence[Skipped], out: Path) -> tuple[list[Path], tuple[str, ...]]:
    """Write the list of what was left out; an earlier one goes when there is nothing.

    Returns
    -------
    list of Path and tuple of str
        The file, if there is one, and warnings of the disk.
    """
    path = out / SKIPPED
    sweep(path)
    if not skipped:
        gone(path)
        return [], ()
    told = commit(path, encoded(pd.DataFrame(skipped, columns=Skipped._fields)), force=True)
    return [path], told


def _cards(depots: Sequence[str], specification: Specification) -> dict[str, Specification]:
    """Return what each depot has; of several nobody said whose shed it is, so all are empty."""
    if len(depots) > 1:
        products = {name: replace(each, stock=0.0) for name, each in specification.products.items()}
        specification = replace(specification, products=products)
    return dict.fromkeys(depots, specification)


def _whole(name: str, folder: Path, numbers: Iterable[int]) -> pd.DataFrame:
    """Return a table of all partitions, by site."""
    found = [partitions.read(folder, name, number) for number in numbers]
    return _typed(pd.concat(found, ignore_index=True) if found else pd.DataFrame(), name)


def _by_depot(name: str, folder: Path, numbers: Iterable[int]) -> pd.DataFrame:
    """Return a table summed over the sites of each region and depot."""
    words = [each.name for each in schema.columns(name) if each.dtype == "object"]
    words.remove("site_id")
    found = [
        partitions.read(folder, name, number).groupby(words, sort=False, dropna=False).sum(
            numeric_only=True
        )
        for number in numbers
    ]  # fmt: skip
    summed = pd.concat(found).groupby(level=words, dropna=False).sum()
    return _typed(summed.reset_index().assign(site_id=""), name)


def _counted(table: pd.DataFrame, name: str, folder: Path, numbers: Iterable[int]) -> pd.DataFrame:
    """Return what depots buy or send out with the number of sites it is for."""
    keys = {NEEDS: ["depot", "what", "status", "unit"], HOURS: ["depot", "machine", "month"]}[name]
    found = []
    for number in numbers:
        own = partitions.read(folder, name, number)
        if name == NEEDS:
            own = own[own["status"].isin([DO, PRICING])]
            own = own.assign(what=own["product"].where(own["product"] != "", own["operation"]))
        found.append(own.drop_duplicates(["site_id", *keys]).groupby(keys).size())
    many = pd.concat(found).groupby(level=keys).sum()
    if name == NEEDS:
        what = table["product"].where(table["product"] != "", table["operation"])
        table = table.assign(what=what)
    counts = many.reindex(pd.MultiIndex.from_frame(table[keys])).to_numpy(dtype=float)
    return table.assign(sites=counts).drop(columns="what", errors="ignore")


def _regions(folder: Path, numbers: Iterable[int]) -> pd.DataFrame:
    """Return one row for all sites of each region and depot."""
    by = ["region", "depot"]
    found = []
    for number in numbers:
        own = partitions.read(folder, SITES, number)
        own = own.assign(many=1.0, bad=(own["trouble"] != "").astype(float))
        for name in ("longitude", "latitude"):
            own[name] *= own["zones"]
        found.append(own.groupby(by, dropna=False).sum(numeric_only=True, min_count=1))
    summed = pd.concat(found).groupby(level=by, dropna=False).sum(min_count=1).reset_index()
    for name in ("longitude", "latitude"):
        summed[name] /= summed["zones"]
    called = [f"{many:,.0f} sites" for many in summed["many"]]
    told = [f"{bad:,.0f} of them: see the tables" if bad else "" for bad in summed["bad"]]
    ids = summed["region"] + "/" + summed["depot"]
    return _typed(summed.assign(title=called, site_id=ids, trouble=told), SITES)


def _told(
    sites: pd.DataFrame, skipped: Sequence[Skipped], of_site: Mapping[str, int]
) -> pd.DataFrame:
    """Return the sites with what was left out of them; those with no zone left stand last."""
    told = by_site(skipped)
    for site_id, many in of_site.items():
        more = f"{many:,} more left out"
        told[site_id] = f"{told[site_id]}; {more}" if site_id in told else more
    both = sites.assign(
        trouble=[
            " ".join(filter(None, (before, told.get(site_id, ""))))
            for site_id, before in zip(sites["site_id"], sites["trouble"], strict=True)
        ]
    )
    there = set(sites["site_id"])
    of_zones = dict.fromkeys(each.site_id for each in skipped if each.table == ZONES.table)
    gone = [each for each in of_zones if each not in there]
    if not gone:
        return both
    lost = pd.DataFrame({"site_id": gone, "title": gone, "trouble": [told[each] for each in gone]})
    counts = dict.fromkeys(("zones", "worked", "unrated", "stopped"), 0.0)
    return _typed(pd.concat([both, lost.assign(**counts)], ignore_index=True), SITES)


def _typed(rows: pd.DataFrame, name: str) -> pd.DataFrame:
    """Return rows with every column of a table, words never missing, in the order of the words."""
    columns = schema.columns(name)
    made = rows.reindex(columns=[each.name for each in columns])
    made = made.astype({each.name: each.dtype for each in columns})
    words = [each.name for each in columns if each.dtype == "object"]
    made = made.assign(**{each: made[each].fillna("") for each in words})
    return made.sort_values(words, kind="stable", ignore_index=True)
