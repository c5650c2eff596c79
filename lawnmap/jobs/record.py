"""The job ``record``: what was really done, added to a site's record and held against the label."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from lawnmap import plugins
from lawnmap.errors import InputRefused
from lawnmap.jobs.measure import measure
from lawnmap.model import Product, Site, Specification
from lawnmap.processing.records import record_checks, recorded, register
from lawnmap.processing.records import record_slips as slips
from lawnmap.processing.records.near_miss import one_of
from lawnmap.processing.records.record_cells import Cells, cells
from lawnmap.processing.records.record_checks import Label
from lawnmap.processing.records.record_row import completed
from lawnmap.processing.records.recorded import OTHER_WORK, Row
from lawnmap.store import issued as issued_store
from lawnmap.store import record as store
from lawnmap.store import site as site_store
from lawnmap.store.folder import Folder
from lawnmap.treatments.label_dose import iron_per, label_dose

OURS = "work."  # no id from a visit page has a point in it, so the two never meet
LONGEST_ID = 15  # digits; one of thousands was typed by somebody else, and is no count
FROM_CARD, TODAY = "from its card", "today"
AROUND = ("all", "every", "*", "whole", "site")  # what people say for every zone at once


@dataclass(frozen=True)
class Done:
    """A piece of work as a person tells it: where, what, and the rest by key.

    `any_product` takes a product that there is no label card of.
    """

    zone_id: str
    operation: str
    given: Mapping[str, str]
    any_product: bool = False


@dataclass(frozen=True)
class Recorded:
    """A row and what is to be known of it.

    Attributes
    ----------
    row : mapping of str to str
        The cells that are not empty.
    how : mapping of str to str
        How each cell that nobody typed came about, by column.
    empty : tuple of str
        Columns that are empty and may be asked for by law.
    iron : str
        A sentence on the iron of the year on this zone; empty for none.
    revision : int
        Of the site; the old one when nothing was saved.
    """

    row: Row
    how: Mapping[str, str] = field(default_factory=dict)
    empty: tuple[str, ...] = ()
    iron: str = ""
    revision: int = 0
    saved: bool = False
    warnings: tuple[str, ...] = ()


def record(
    folder: Folder,
    site: Site,
    specification: Specification,
    done: Done,
    *,
    today: dt.date,
    dry_run: bool = False,
) -> Recorded:
    """Add a piece of work to the record, and say what is to be said of it.

    Parameters
    ----------
    folder : Folder
    site : Site
        As loaded from it.
    specification : Specification
        With the label cards.
    done : Done
    today : date
        The day of the work when none is given; no work is later.
    dry_run : bool
        Work it out and save nothing.

    Returns
    -------
    Recorded

    Raises
    ------
    InputRefused
        For an unknown zone, operation, key or product, and for what cannot be.
    """
    zone_id, operation = _zone(site, done.zone_id), _operation(done.operation)
    typed = cells(done.given, operation)
    _check_said(operation, typed)
    filled, how = dated(typed, today)
    if not done.any_product:
        _fill_from_card(filled, how, specification.products)
    _check_issued(folder, filled)
    size = measure(site).zones.loc[zone_id]
    made = completed(filled, operation, float(size["ground_area_m2"]))
    there = store.read(folder)
    row = {
        "record_id": next_id(there.rows), "zone_id": zone_id, "operation": operation, **made.cells
    }  # fmt: skip
    now = recorded.handed_down(there.rows, came_from(site))
    labels, told = _labels([*now, row], specification.products)
    told += slips.of_area(row, made.how, size["ground_area_m2"], size["area_sigma_m2"])
    told += [*slips.of_day(row, today), *record_checks.warnings(row, now, labels)]
    told += slips.twice(row, now)
    found = Recorded(
        row,
        {**how, **made.how},
        tuple(register.empty(row)),
        record_checks.iron_total(row, now, labels),
        site.revision,
        warnings=tuple(told),
    )
    return found if dry_run else saved(folder, site, there, found)


def came_from(site: Site) -> dict[str, str]:
    """Return what each zone of a site came from, by zone_id.

    :func:`~lawnmap.processing.records.recorded.handed_down` wants it so.
    """
    parents = site.zones["came_from"]
    return {
        str(zone_id): text if isinstance(text, str) else ""
        for zone_id, text in zip(parents.index, parents, strict=True)
    }


def saved(folder: Folder, site: Site, there: store.Record, found: Recorded) -> Recorded:
    """Add the row that was found to the record, and return it with the new revision."""
    torn, kept = store.kept_torn(folder, there)
    also = {store.NAME: store.with_rows(there, [found.row]), **torn}
    new = site_store.save(folder, site, also=also)
    warnings = (*found.warnings, *kept, *new.warnings)
    return replace(found, revision=new.site.revision, saved=True, warnings=warnings)


def next_id(rows: Sequence[Row]) -> str:
    """Return the id of the next row of ours."""
    texts = (row["record_id"].removeprefix(OURS) for row in rows)
    numbers = (int(n) for n in texts if n.isascii() and n.isdigit() and len(n) <= LONGEST_ID)
    return f"{OURS}{1 + max(numbers, default=0)}"


def _zone(site: Site, name: str) -> str:
    names = site.zones["name"]
    known = {str(zone_id): str(names[zone_id] or "") for zone_id in names.index}
    if name.casefold() in AROUND and name not in known:
        raise InputRefused(
            f"{name!r} is not one zone, and a row of the record is of one",
            remedy="Record each zone on its own: area and amount differ from one to the next.",
        )
    called = [zone_id for zone_id, text in known.items() if text.casefold() == name.casefold()]
    if len(called) == 1 and name not in known:
        return called[0]
    return one_of(
        name,
        known,
        unknown=f"there is no zone {name!r} on this site",
        what="The zones are",
        remedy="" if known else "Read a site plan into it with lawnmap read.",
    )


def _operation(name: str) -> str:
    known = [*plugins.available("treatments"), *OTHER_WORK]
    return one_of(
        name.replace(" ", "_").replace("-", "_"),
        known,
        unknown=f"there is no operation {name!r}",
        what="The operations are",
    )


def _check_said(operation: str, typed: Cells) -> None:
    if operation == "other" and not typed.get("note"):
        raise InputRefused("what was done is not said", remedy='Say it: note="weeds dug out".')


def _fill_from_card(row: Cells, how: dict[str, str], cards: Mapping[str, Product]) -> None:
    """Give the product its name as on its card, and the row the number of its authorisation."""
    if not row.get("product"):
        return
    unknown = f"there is no label card of {row['product']!r}"
    remedy = "Add its card to products.toml, or record it as it is with --any-product."
    name = one_of(row["product"], cards, unknown=unknown, what="Cards are of", remedy=remedy)
    row["product"] = name
    if not row.get("authorisation_no") and cards[name].authorisation_no:
        row["authorisation_no"] = cards[name].authorisation_no
        how["authorisation_no"] = FROM_CARD


def dated(typed: Cells, today: dt.date) -> tuple[Cells, dict[str, str]]:
    """Return cells with a day, today when none was typed, and how it came about.

    Raises
    ------
    InputRefused
        For a day after today.
    """
    if "date" not in typed:
        return {"date": today.isoformat(), **typed}, {"date": TODAY}
    if typed["date"] > today.isoformat():
        raise InputRefused(
            f"{typed['date']} is after today, {today}: nothing was done then yet",
            place="date",
            remedy="The record holds what was done; what is to be done stands in the plan.",
        )
    return dict(typed), {}


def _check_issued(folder: Folder, row: Cells) -> None:
    if row.get("issued_id"):
        known = [each.id for each in issued_store.listed(folder)]
        unknown = f"no plan {row['issued_id']!r} was issued for this site"
        remedy = "" if known else "Leave issued= out: no plan was issued yet."
        one_of(row["issued_id"], known, unknown=unknown, what="Issued were", remedy=remedy)


def _labels(
    rows: Sequence[Row], products: Mapping[str, Product]
) -> tuple[dict[str, Label], list[str]]:
    """Return the cards of the products that rows name, and a line for each that cannot be read."""
    labels, told = {}, []
    for name in dict.fromkeys(row.get("product", "") for row in rows):
        if name not in products:
            continue
        card = products[name]
        iron = {unit: iron_per(card, unit) for unit in ("g", "ml")}
        try:
            dose = label_dose(card)
        except InputRefused as error:
            told.append(f"The dose was not held against the label: {error.problem} ({name}).")
            labels[name] = Label(card, None, "g", iron)
        else:
            labels[name] = Label(card, dose.per_m2, dose.unit, iron)
    return labels, told
