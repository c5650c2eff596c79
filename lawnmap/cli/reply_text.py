"""A reply and what it does to a site, for people and as JSON has it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from lawnmap.cli.told import plain, table
from lawnmap.errors import Busy, printable

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from lawnmap.cli.talk import Talk
    from lawnmap.files.admit import Source
    from lawnmap.jobs.reply import ReplyRead
    from lawnmap.processing.replying.replies import Line
    from lawnmap.processing.replying.reply_content import Reply

WHOLE = "whole plan"
FOR_PLANS = ("layers", "crs", "units", "control", "kind", "repair", "preview")
TO_DECIDE = (
    "Both the reply and the site have changed {count} of the facts, each in its own way (marked "
    "conflict): the site's stand. To take the reply's, read it again with --take theirs."
)


def tell(
    talk: Talk, source: Source, into: Path | None, choices: Mapping[str, Any], *, dry_run: bool
) -> None:
    """Read a reply and say what it did; leave with 6 when fields have to be decided.

    Raises
    ------
    UsageError
        For an option of ``read`` that is for plans.
    """
    from lawnmap.jobs.reply import read_reply

    strange = [name for name in FOR_PLANS if choices[name]]
    if strange:
        raise click.UsageError("a reply takes --into, --take, --skip-bad and --dry-run only")
    said = {name: choices[name] for name in ("take", "skip_bad", "today")}
    done = read_reply(source, into, dry_run=dry_run, **said)
    talk.warn(*done.warnings)
    if done.conflicts:
        talk.warn(TO_DECIDE.format(count=len(done.conflicts)))
    talk.result(data(done), text(done, dry_run=dry_run))
    if done.conflicts:
        raise click.exceptions.Exit(Busy.exit_code)


def data(done: ReplyRead) -> dict[str, Any]:
    """Return a reply as JSON has it."""
    reply = done.reply
    return {
        "reply": done.digest,
        "kind": reply.kind,
        "site": {"id": reply.site_id, "title": reply.title, "revision": reply.revision},
        "issued": reply.issued,
        "by": reply.by,
        "at": reply.at,
        "known": done.known,
        "saved": done.saved,
        "kept": done.kept,
        "revision": done.site.revision if done.site else None,
        "changes": [
            {
                "what": line.what,
                "where": line.where,
                "field": line.field,
                "before": plain(line.before),
                "after": plain(line.after),
            }
            for line in done.lines
        ],
        "recorded": list(done.recorded),
        "comments": reply.comments,
        "agreements": reply.agreements,
        "answers": reply.answers,
    }


def text(done: ReplyRead, *, dry_run: bool) -> str:
    """Return a reply for people: by whom and when, what changes, what was said."""
    reply = done.reply
    parts = [printable(f"Reply by {reply.by or 'nobody named'}, {reply.at}, for {reply.title}.")]
    if done.lines:
        parts.append(_changes(done.lines))
    if done.site is None:
        parts.append(_holds(reply))
    if done.recorded:
        rows = [
            [
                row[name]
                for name in ("date", "zone_id", "operation", "application", "amount", "unit")
            ]
            for row in done.recorded
        ]
        head = ["done on", "zone", "operation", "step", "amount", "unit"]
        parts.append("For the record:\n" + table(head, rows))
    parts += said(reply)
    parts.append(_end(done, dry_run=dry_run))
    return "\n\n".join(part for part in parts if part)


def said(reply: Reply) -> list[str]:
    """Return the comments, agreements and answers of a reply."""
    parts = []
    lines = [f"- {each['zone_id'] or WHOLE}: {_one_line(each['text'])}" for each in reply.comments]
    lines += [
        f"- {each['zone_id'] or WHOLE}: agreed by {each['name']}"
        + (f", plan {each['issued']}" if each["issued"] else "")
        + (f"; on condition: {_one_line(each['conditions'])}" if each["conditions"] else "")
        for each in reply.agreements
    ]
    if lines:
        parts.append("Said:\n" + "\n".join(map(printable, lines)))
    if reply.answers:
        answers = [f"- {q}: {_one_line(a)}" for q, a in reply.answers.items()]
        parts.append("Answers:\n" + "\n".join(map(printable, answers)))
    return parts


def _one_line(words: str) -> str:
    return " / ".join(line.strip() for line in words.splitlines() if line.strip())


def _changes(lines: list[Line]) -> str:
    rows = [
        [line.what, line.where, line.field, _cell(line.before), _cell(line.after)] for line in lines
    ]
    return table(["what", "where", "fact", "site has", "reply says"], rows)


def _cell(value: Any) -> str:
    return "" if value is None else f"{value:.10g}" if isinstance(value, float) else str(value)


def _holds(reply: Reply) -> str:
    counts = {
        ("zone with facts", "zones with facts"): reply.zones,
        ("sketch", "sketches"): reply.sketches,
        ("place", "places"): reply.places,
        ("core", "cores"): reply.cores,
        ("piece of work", "pieces of work"): reply.work,
    }
    found = [f"{len(items)} {names[len(items) > 1]}" for names, items in counts.items() if items]
    return f"It holds: {', '.join(found)}." if found else ""


def _end(done: ReplyRead, *, dry_run: bool) -> str:
    if done.site is None:
        return "Nothing was saved: give the folder of the site with --into."
    if done.saved:
        return f"Saved as revision {done.site.revision}."
    if done.known:
        return "This reply was read before: nothing has changed."
    if dry_run:
        return "Nothing was saved."
    return f"The reply is kept; it changes nothing, and the site stays at {done.site.revision}."
