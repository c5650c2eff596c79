"""What many sites come to, as text for the terminal and as JSON."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import pandas as pd

from lawnmap.agronomy.unit_systems import METRIC
from lawnmap.cli.told import between, number, plain, rows_data, spaced, table
from lawnmap.errors import InputRefused, printable
from lawnmap.exports.wording.amounts import span
from lawnmap.processing.many.totals_by import ALL
from lawnmap.schema import DO, PRICING

if TYPE_CHECKING:
    from lawnmap.jobs.sites.run import Reply

FIRST = 12  # rows of a table that are shown; all are in the files
NAMED = 5  # sites that are named in a sentence


def code(reply: Reply) -> int:
    """Return the exit code of a run in which sites could not be planned."""
    faults = [each for each in reply.troubles if each.frames]
    return faults[0].code if faults else InputRefused.exit_code


def data(reply: Reply) -> dict[str, Any]:
    """Return what the sites come to as JSON has it; amounts site by site are in the files."""
    sites, totals = reply.tables["sites"], reply.tables["totals_by"]
    return {
        "planned": _planned(reply),
        "not_planned": [
            {
                "site_id": each.site_id,
                "code": each.code,
                "file": each.file,
                "place": each.place,
                "problem": each.problem,
                "remedy": each.remedy,
            }
            for each in reply.troubles
        ],
        "zones": plain(sites["zones"].sum()),
        "ground_area_m2": math.fsum(sites["ground_area_m2"].dropna()),
        "hours_low": math.fsum(sites["hours_low"].dropna()),
        "hours": math.fsum(sites["hours"].dropna()),
        "sites": rows_data(sites),
        "totals": rows_data(totals[totals["by"] == ALL]),
        "shopping": rows_data(reply.tables["depot_shopping"]),
        "machine_days": rows_data(reply.tables["depot_machines"]),
        "files": [str(path) for path in reply.files],
    }


def text(reply: Reply, units: str = "") -> str:
    """Return what the sites come to for people: the sums, what is in the way, where it is all."""
    units = units or METRIC
    sites = reply.tables["sites"]
    parts = [
        "\n".join(_head(reply, units)),
        _needs(reply.tables["totals_by"], units),
        _depots(sites, units),
        _machines(reply.tables["depot_machines"], reply.currency),
        "\n".join(_in_the_way(sites, table=reply.table)),
        "\n".join(_not_planned(reply)),
        "\n".join(_files(reply)),
    ]
    return "\n\n".join(part for part in parts if part)


def _head(reply: Reply, units: str) -> Iterator[str]:
    sites = reply.tables["sites"]
    planned, failed = _planned(reply), len(reply.troubles)
    part = planned + failed - len(sites)  # in trouble, and planned all the same
    said = [
        f", {part} of them in part" if part > 0 else "",
        f", {failed - part} not" if failed > part else "",
    ]
    yield f"{_count(planned, 'site')} planned{''.join(said)}{': see below' if failed else ''}."
    if not planned:
        return
    zones, worked = int(sites["zones"].sum()), int(sites["worked"].sum())
    ground, done = sites["ground_area_m2"].sum(), sites["worked_area_m2"].sum()
    yield (
        f"Ground: {_amount(ground, 'm²', units)} in {_count(zones, 'zone')}; work on "
        f"{_amount(done, 'm²', units)} in {worked}."
    )
    days = sorted({*sites["day_first"], *sites["day_last"]} - {""})
    span_of_days = f", {days[0]} to {days[-1]}" if days else ""
    hours = between(sites["hours_low"].sum(), sites["hours"].sum(), 0)
    visits = f", {_count(int(sites['visits'].sum()), 'visit')}" if days else ""
    yield f"Work: {hours} h{visits}{span_of_days}."


def _planned(reply: Reply) -> int:
    """Return how many sites were planned; of a table also those that lost some of their zones."""
    sites = reply.tables["sites"]
    if not reply.table:
        return len(sites) - len(reply.troubles)
    return len(sites) - int((sites["zones"] == 0).sum())


def _needs(totals: pd.DataFrame, units: str) -> str:
    """Return what all sites need together: products, then what is cleared."""
    everything = totals[(totals["by"] == ALL) & (totals["amount"] > 0)]
    live = everything[everything["status"].isin([DO, PRICING])]
    ordered = live.sort_values("product", key=lambda names: names == "", kind="stable")
    rows = [
        [
            str(each["product"]),
            str(each["operation"]).replace("_", " "),
            str(each["status"]),
            number(each["sites"], 0),
            _amount(each["area_m2"], "m²", units),
            spaced(span(each["amount_low"], each["amount"], each["unit"], units)),
        ]
        for each in ordered.to_dict("records")
    ]
    head = ["product", "for", "status", "sites", "ground", "amount"]
    return _shown("Needed", head, rows, "totals.csv")


def _depots(sites: pd.DataFrame, units: str) -> str:
    """Return what each depot has to do, when there is more than one."""
    if sites["depot"].nunique() < 2:  # noqa: PLR2004 - one is the whole
        return ""
    rows = [
        [
            str(depot) or "(none)",
            str(len(own)),
            _amount(own["worked_area_m2"].sum(), "m²", units),
            between(own["hours_low"].sum(), own["hours"].sum(), 0),
            "" if own["visits"].isna().all() else number(own["visits"].sum(), 0),
        ]
        for depot, own in sites.groupby("depot", sort=True)
    ]
    return _shown("Depots", ["depot", "sites", "work on", "hours", "visits"], rows, "sites.csv")


def _machines(machines: pd.DataFrame, currency: str) -> str:
    """Return hours and days of each machine of each depot, all months together."""
    rows = []
    for (depot, machine), own in machines.groupby(["depot", "machine"], sort=True):
        dated = own["days"].notna().any()
        days = own["days"].fillna(own["days_least"]) if dated else own["days_least"]
        rows.append(
            [
                str(depot) or "(none)",
                str(machine),
                between(own["hours_low"].sum(), own["hours"].sum(), 1),
                number(days.sum(), 0),
                number(own["cost"].sum(), 2) if own["cost"].notna().any() else "",
            ]
        )
    called = "days" if machines["days"].notna().any() else "days at least"
    head = ["depot", "machine", "hours", called, f"hire {currency}".strip()]
    if machines["cost"].isna().all():
        head, rows = head[:-1], [row[:-1] for row in rows]
    return _shown("Machine-days", head, rows, "machine_days.csv")


def _in_the_way(sites: pd.DataFrame, *, table: bool) -> Iterator[str]:
    """Say what keeps sites from a plan one can rely on, and of site folders what to do."""
    bare = sites[(sites["zones"] == 0) & (sites["trouble"] == "")]
    if len(bare):
        yield f"{_count(len(bare), 'site')} without a zone yet ({_names(bare)}): lawnmap read."
    reasons = {
        "unrated": ("{} not rated yet ({})", "lawnmap assess"),
        "stopped": ("{} with a step that is not set or not allowed ({})", "lawnmap plan says why"),
    }
    for column, (sentence, remedy) in reasons.items():
        found = sites[sites[column] > 0]
        if len(found):
            told = sentence.format(_count(int(found[column].sum()), "zone"), _names(found))
            yield f"{told}." if table else f"{told}: {remedy}."
    late = sites[sites["undated"] > 0]
    if len(late):
        yield (
            f"{_count(int(late['undated'].sum()), 'step')} without a day ({_names(late)}): "
            "more people, machines or days are needed, or lawnmap plan says why."
        )


def _names(found: pd.DataFrame) -> str:
    names = [printable(str(each)) or "without a name" for each in found["site_id"]]
    more = f" and {len(names) - NAMED} more sites" if len(names) > NAMED else ""
    return ", ".join(names[:NAMED]) + more


def _not_planned(reply: Reply) -> Iterator[str]:
    troubles = reply.troubles
    if troubles:
        yield "In part, or not at all" if reply.table else "Not planned"
    for each in troubles[:FIRST]:
        yield f"- {printable(each.site_id)}: {each}"
    if len(troubles) > FIRST:
        yield f"… and {len(troubles) - FIRST} more, in the column trouble of sites.csv"


def _files(reply: Reply) -> Iterator[str]:
    folders = dict.fromkeys(path.parent for path in reply.files)
    for folder in folders:
        names = ", ".join(path.name for path in reply.files if path.parent == folder)
        yield f"Written to {printable(str(folder))}: {names}"


def _shown(title: str, head: list[str], rows: list[list[str]], file: str) -> str:
    """Return the first rows of a table under a title; nothing without rows."""
    if not rows:
        return ""
    more = [f"… and {len(rows) - FIRST} more, in {file}"] if len(rows) > FIRST else []
    return "\n".join([title, table(head, rows[:FIRST]), *more])


def _count(many: int, what: str) -> str:
    return f"{many:,} {what}" if many == 1 else f"{many:,} {what}s"


def _amount(value: float, unit: str, units: str) -> str:
    return spaced(span(math.nan, value, unit, units))
