"""Before and after: two surveys side by side, on the map, in the panel and as a table."""

from __future__ import annotations

import base64
import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import numpy as np

from lawnmap.agronomy.ratings import rating
from lawnmap.exports.drawing.drawn import Drawing, rings
from lawnmap.exports.drawing.themes import PALETTES
from lawnmap.exports.parts.cells import head
from lawnmap.exports.wording.amounts import missing, quantity, span, text
from lawnmap.exports.wording.bands import band_label
from lawnmap.exports.wording.rows import records
from lawnmap.exports.wording.short_dates import short
from lawnmap.pages.escape import Html, join, said, tag
from lawnmap.pages.words import word
from lawnmap.paper import Earlier, Paper, Photo
from lawnmap.reference.tables import bands

# Measures of the comparison, as the theme that colours by them is called.
MEASURES = {"moss cover": "moss", "thatch": "thatch"}
WHEN = ("before", "after")
Row = Mapping[str, Any]


def before_block(paper: Paper, drawn: Drawing) -> dict[str, Any]:
    """Return what the map's script shows of two surveys; empty without any.

    Returns
    -------
    dict
        ``before`` has the ``title`` of the view, what its two sides are called (``then``,
        ``now``), ``measures`` with classes then and now, ``outlines`` of then, and ``zones``: rows
        and sentences of each. ``photos`` are those of each zone, then and now.
    """
    found: dict[str, Any] = {}
    if paper.earlier is not None:
        found["before"] = _before(paper, paper.earlier, drawn)
    if paper.photos:
        found |= {"photos": _photos(paper), "photos_title": word("before.photos")}
    return found


def _before(paper: Paper, earlier: Earlier, drawn: Drawing) -> dict[str, Any]:
    rows, zones = _by_zone(earlier), [str(each) for each in paper.plan.zones.index]
    old = [str(each) for each in earlier.zones.index]
    shapes = drawn.frame.flat(np.asarray(earlier.zones.geometry.array, dtype=object))
    return {
        "title": word("before.title"),
        "colour": word("title.chooser"),
        "then": word("before.then", day=_date(earlier.day)),
        "now": word("before.now", day=_now(earlier)),
        "measures": [_measure(each, rows, (old, zones), paper.units) for each in _seen(earlier)],
        "outlines": [
            [[drawn.positions(ring) for ring in polygon] for polygon in rings(shape)]
            for shape in shapes
        ],
        "zones": [_panel(rows.get(each, []), paper.units) for each in zones],
    }


def _photos(paper: Paper) -> list[list[list[dict[str, Any]]]]:
    """Return the photos of each zone, then and now."""
    found: dict[str, list[list[dict[str, Any]]]] = {}
    for photo in paper.photos:
        pair = found.setdefault(photo.zone_id, [[], []])
        pair[0 if photo.earlier else 1].append(_photo(photo, _name(paper, photo.zone_id)))
    return [found.get(str(each), [[], []]) for each in paper.plan.zones.index]


def section(paper: Paper) -> Html:
    """Return the table of before and after with what must be known of it; empty without one."""
    earlier = paper.earlier
    if earlier is None:
        return Html()
    measures, rows = _seen(earlier), _by_zone(earlier)
    numbers = {str(each): place + 1 for place, each in enumerate(paper.plan.zones.index)}
    order = sorted(rows, key=lambda each: numbers.get(each, len(numbers) + 1))
    lines = [
        _line(numbers.get(each), _name(paper, each), rows[each], measures, paper.units)
        for each in order
        if _looked(rows[each])
    ]
    heading = tag("h2", word("before.title"), id="before-title")
    about = tag("p", word("before.about", then=_date(earlier.day), now=_now(earlier)))
    table = tag("table", _head(measures), tag("tbody", join(lines)), class_="before")
    notes = join(tag("p", said(each), class_="note") for each in earlier.warnings)
    return tag(
        "section", heading, about, table, notes, class_="before", aria_labelledby="before-title"
    )


def sentence(row: Row, units: str) -> str:
    """Return what can be said of one measure: less, more, or that nobody can tell."""
    if row["recut"]:
        return word("before.recut", kin=f" ({row['kin']})" if row["kin"] else "")
    if row["verdict"] == "not measured alike":
        return word("before.unlike", reason=row["reason"])
    change = float(row["change"])
    if change == 0:
        return word("before.same")
    amount = quantity(abs(change), row["unit"], units)
    if row["unit"] == "%":
        amount = word("before.of_ground", amount=amount)
    by = word("before.less" if change < 0 else "before.more", amount=amount)
    outside = row["verdict"] in {"better", "worse"}
    return word("before.outside" if outside else "before.within", change=by)


def _measure(
    measure: str, rows: Mapping[str, list[Row]], zones: tuple[list[str], list[str]], units: str
) -> dict[str, Any]:
    """Return a theme of two sides: its classes for the zones of then and those of now."""
    name = MEASURES[measure]
    unit = "%" if name == "moss" else "mm"
    found = {zone: row for zone, of in rows.items() for row in of if row["measure"] == measure}
    labels = [band_label(low, high, unit, units) for low, high in bands(name)]
    return {
        "name": name,
        "title": word(f"theme.{name}"),
        "classes": [
            {"label": label, "colour": colour}
            for label, colour in zip(labels, PALETTES[name], strict=True)
        ],
        "unknown": word("theme.unknown"),
        **{
            side: [_class(found.get(each), when, name) for each in of]
            for side, when, of in zip(("then", "now"), WHEN, zones, strict=True)
        },
    }


def _class(row: Row | None, when: str, scale: str) -> int:
    """Return the class of what was seen, counted from 0; −1 when nothing was."""
    if row is None or not row[f"{when}_from"]:
        return -1
    at, low, high = (float(row[name]) for name in (when, f"{when}_low", f"{when}_high"))
    if np.isnan(at):  # a rating: its class is where the middle of its band lies
        at = low + 1 if np.isnan(high) else (low + high) / 2
    return int(rating(at, bands(scale)))


def _panel(rows: Sequence[Row], units: str) -> dict[str, Any] | None:
    if not _looked(rows):
        return None
    shown = [row for row in rows if _looked([row])]
    return {
        "rows": [[_title(row), *(_look(row, when, units) for when in WHEN)] for row in shown],
        "said": list(_sentences(shown, units)),
    }


def _sentences(rows: Sequence[Row], units: str) -> Iterator[str]:
    """Yield what can be said, once when it is of the zone and not of a measure."""
    for row in rows:
        told = sentence(row, units)
        if row["recut"]:
            yield told
            return
        yield f"{_title(row)}: {told}"


def _look(row: Row, when: str, units: str) -> str:
    """Return what one survey saw of a measure."""
    if not row[f"{when}_from"]:
        return word("theme.unknown")
    at, low, high = (row[name] for name in (when, f"{when}_low", f"{when}_high"))
    if missing(at):
        open_end = missing(high)
        return band_label(float(low), np.inf if open_end else float(high), row["unit"], units)
    shown = quantity(float(at), row["unit"], units)
    if missing(low) or missing(high):
        return shown
    return word("before.between", at=shown, span=span(low, high, row["unit"], units))


def _line(
    number: int | None, name: str, rows: Sequence[Row], measures: Sequence[str], units: str
) -> Html:
    of = {str(row["measure"]): row for row in rows}
    cells = [
        tag(
            "td",
            _look(of[each], when, units) if each in of else "",
            data_label=_column(each, when),
        )
        for each in measures
        for when in WHEN
    ]
    told = join((tag("span", said(each)) for each in _sentences(rows, units)), " ")
    pill = tag("span", number, class_="pill") if number else ""
    called = tag("th", pill, " ", said(name), scope="row")
    return tag("tr", called, *cells, tag("td", told, class_="told"))


def _head(measures: Sequence[str]) -> Html:
    columns = [word("table.zone")]
    columns += [_column(each, when) for each in measures for when in WHEN]
    columns.append(word("before.told"))
    return head((each, "") for each in columns)


def _column(measure: str, when: str) -> str:
    return word(f"before.{MEASURES[measure]}_{when}")


def _title(row: Row) -> str:
    return word(f"theme.{MEASURES[str(row['measure'])]}")


def _by_zone(earlier: Earlier) -> dict[str, list[Row]]:
    found: dict[str, list[Row]] = {}
    for row in records(earlier.changes):
        found.setdefault(str(row["zone_id"]), []).append(row)
    return found


def _seen(earlier: Earlier) -> list[str]:
    """Return the measures of which anything was seen."""
    table = earlier.changes
    looked = table[(table["before_from"] != "") | (table["after_from"] != "")]
    return [each for each in MEASURES if (looked["measure"] == each).any()]


def _looked(rows: Sequence[Row]) -> bool:
    return any(row[f"{when}_from"] for row in rows for when in WHEN)


def _name(paper: Paper, zone_id: str) -> str:
    tables = [paper.plan.zones] + ([paper.earlier.zones] if paper.earlier else [])
    for zones in tables:
        if zone_id in zones.index and "name" in zones.columns:
            return text(zones["name"][zone_id]) or zone_id
    return zone_id


def _now(earlier: Earlier) -> str:
    return _date(earlier.now) or word("before.today")


def _date(iso: str) -> str:
    """Return a day without the day of the week, which says nothing of a survey; empty for none."""
    if not iso:
        return ""
    return short(dt.date.fromisoformat(iso))


def _photo(photo: Photo, name: str) -> dict[str, Any]:
    wide, high = photo.size
    shown = _date(photo.day)
    return {
        "url": f"data:image/webp;base64,{base64.b64encode(photo.image).decode('ascii')}",
        "alt": word("before.photo", zone=name, day=f", {shown}" if shown else ""),
        "caption": shown or word("before.today"),
        "wide": wide,
        "high": high,
    }
