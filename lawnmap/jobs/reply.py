"""The job ``reply``: a reply from a shared page into a site, its record and its replies."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from lawnmap.errors import InputRefused
from lawnmap.files.admit import Source
from lawnmap.jobs.measure import measure
from lawnmap.model import Site
from lawnmap.processing.replying import replies as step
from lawnmap.processing.replying.reply_content import Reply, checked
from lawnmap.store import issued as issued_store
from lawnmap.store import record as record_store
from lawnmap.store import replies as store
from lawnmap.store import site as site_store
from lawnmap.store.folder import Folder, find

KIND = "reply"
DOSED = ("g", "ml")  # units of what is put on the lawn
ADDS = ("sketches", "places", "cores")


@dataclass(frozen=True)
class ReplyRead:
    """A reply and what it did to a site.

    Attributes
    ----------
    reply : Reply
    digest : str
        By which it is kept: ``replies/DIGEST.json``.
    lines : list of Line
        What it changes on the site.
    recorded : list of mapping
        Rows it adds to ``record.csv``.
    site : Site or None
        With the reply in it; None when it went nowhere.
    known : bool
        Whether it had been read into this site before.
    saved : bool
        Whether the site has a new revision.
    kept : bool
        Whether the reply is among the site's replies, now or before.
    """

    reply: Reply
    digest: str
    lines: list[step.Line] = field(default_factory=list)
    recorded: list[Mapping[str, str]] = field(default_factory=list)
    site: Site | None = None
    known: bool = False
    saved: bool = False
    kept: bool = False
    warnings: list[str] = field(default_factory=list)

    @property
    def conflicts(self) -> list[step.Line]:
        """Fields that the reply and the site changed, each in its own way."""
        return [line for line in self.lines if line.what == step.CONFLICT]


def read_reply(
    source: Source,
    into: Path | None = None,
    *,
    take: str | None = None,
    skip_bad: bool = False,
    dry_run: bool = False,
    today: dt.date = dt.date.max,
) -> ReplyRead:
    """Read a reply: look at it, or merge it into a site and save everything of it at once.

    One that changes nothing is kept and makes no revision. One that was read before changes
    nothing either, unless it is to win; what was left open then is told again.

    Parameters
    ----------
    source : Source
        Of kind ``reply``.
    into : Path, optional
        A site folder; without it the reply is only looked at.
    take : str, optional
        ``theirs`` or ``mine``: whose word holds where reply and site both changed a field.
    skip_bad : bool
        Leave out sketches, places and cores that cannot be taken, and say which.
    dry_run : bool
        Work it out and save nothing.
    today : date, optional
        Work of a later day is not recorded, and that is said.

    Returns
    -------
    ReplyRead

    Raises
    ------
    InputRefused
        When it is damaged, for another site, or holds what cannot be; nothing is changed then.
    """
    envelope = store.opened(source.data, name=source.name)
    try:
        reply = checked(envelope.content)
        looked = ReplyRead(reply, envelope.digest, warnings=_ignored(reply))
        if into is None:
            return looked
        folder = find(into)
        site = site_store.load(folder)
        step.check_home(site, reply)
        before, damaged = accepted(folder)
        known = store.known(folder, envelope.digest)
        if known:  # only facts can have been left open
            reply = replace(reply, sketches=[], places=[], cores=[], work=[], agreements=[])
        merged = step.merge(site, reply, seen=_seen(before), take=take, skip_bad=skip_bad)
    except InputRefused as error:
        raise error.within(file=source.name) from error.__cause__
    looked = replace(looked, known=known, kept=known)
    if known and take != step.THEIRS:
        told = [*looked.warnings, *damaged, *merged.warnings]
        return replace(looked, site=site, lines=merged.conflicts, warnings=told)
    record = record_store.read(folder)
    rows = _rows(envelope.digest, reply, merged, record, today)
    warnings = [*looked.warnings, *damaged, *merged.warnings, *_of_issue(reply, folder)]
    done = replace(looked, site=merged.site, lines=merged.lines, recorded=rows, warnings=warnings)
    if dry_run:
        return done
    if not rows and merged.site.document == site.document:
        return replace(done, kept=True, warnings=[*warnings, *store.keep(folder, envelope)])
    also = {envelope.path: envelope.data}
    if rows:
        torn, of_torn = record_store.kept_torn(folder, record)
        also |= torn
        warnings += of_torn
        also[record_store.NAME] = record_store.with_rows(record, rows)
    saved = site_store.save(folder, merged.site, also=also)
    return replace(
        done, site=saved.site, saved=True, kept=True, warnings=[*warnings, *saved.warnings]
    )


def accepted(folder: Folder) -> tuple[list[tuple[str, Reply]], list[str]]:
    """Return the replies that a site has accepted, by digest, the oldest first, and warnings."""
    envelopes, damaged = store.listed(folder)
    found: list[tuple[str, Reply]] = []
    warnings = list(damaged)
    for each in envelopes:
        try:
            found.append((each.digest, checked(each.content)))
        except InputRefused as error:
            warnings.append(f"A kept reply was left out: {each.path}: {error.problem}.")
    return found, warnings


def _seen(before: Sequence[tuple[str, Reply]]) -> set[str]:
    return {each["id"] for _, reply in before for name in ADDS for each in getattr(reply, name)} - {
        ""
    }


def _ignored(reply: Reply) -> list[str]:
    if not reply.ignored:
        return []
    return [f"Fields that lawnmap does not know were left alone: {', '.join(reply.ignored)}."]


def _of_issue(reply: Reply, folder: Folder) -> list[str]:
    """Return what is to be known of the plans that were agreed to."""
    handed = {each.id for each in issued_store.listed(folder)}
    warnings = []
    for each in reply.agreements:
        plan_id = each["issued"] or reply.issued
        if not plan_id:
            warnings.append(f"{each['name']} agreed on a trial copy, not on an issued plan.")
        elif plan_id not in handed:
            warnings.append(
                f"{each['name']} agreed to the plan {plan_id}, which this site has not issued."
            )
    return list(dict.fromkeys(warnings))


def _rows(
    digest: str, reply: Reply, merged: step.Merged, record: record_store.Record, today: dt.date
) -> list[Mapping[str, str]]:
    """Return the rows of the work that a reply tells of, without what is in the record already."""
    there = {row.get("record_id", "") for row in record.rows}
    work = [each for each in reply.work if each["id"] not in there]
    if not work:
        return []
    areas = measure(merged.site).zones["ground_area_m2"] if len(merged.site.zones) else {}
    rows: list[Mapping[str, str]] = []
    taken_whole = []
    for each in work:
        zone_id = merged.zone_ids.get(each["zone_id"], each["zone_id"])
        if each["date"] > today.isoformat():
            merged.warnings.append(_not_yet(each, zone_id, today))
            continue
        if zone_id and zone_id not in areas:
            merged.warnings.append(f"Work was done in {zone_id}, which is no zone of this site.")
        area = each["area_m2"]
        if area is None and zone_id in areas:
            area = round(float(areas[zone_id]), 2)
            taken_whole += [zone_id] if each["unit"] in DOSED and each["amount"] else []
        rows.append(
            {
                "record_id": each["id"],
                "issued_id": reply.issued,
                "reply_id": digest,
                "zone_id": zone_id,
                "operation": each["operation"],
                "application": each["application"],
                "date": each["date"],
                "amount": _number(each["amount"]),
                "unit": each["unit"],
                "area_m2": _number(area),
                "product": each["product"],
                "by": reply.by,
                "note": each["note"],
            }
        )
    if taken_whole:
        names = ", ".join(dict.fromkeys(taken_whole))
        merged.warnings.append(
            f"How much was treated is not in the reply: taken as the whole zone: {names}."
        )
    return rows


def _not_yet(work: Mapping[str, Any], zone_id: str, today: dt.date) -> str:
    return (
        f"Not recorded: {work['operation'] or 'work'} on {zone_id or 'no zone'} is dated "
        f"{work['date']}, and today is {today}. Look at the day the phone has, and record the work "
        "with lawnmap record."
    )


def _number(value: Any) -> str:
    return "" if value is None else f"{value:.15g}"
