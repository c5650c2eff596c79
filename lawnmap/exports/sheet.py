"""The job sheet: print-ready HTML without any script, for the people who do the work."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from lawnmap.exports.drawing import hatches
from lawnmap.exports.drawing.drawn import drawing
from lawnmap.exports.drawing.outline_svg import plan_svg
from lawnmap.exports.parts import front
from lawnmap.exports.parts import iron as iron_html
from lawnmap.exports.parts.days import days_table
from lawnmap.exports.parts.kept import kept_table
from lawnmap.exports.parts.tables import totals_table
from lawnmap.exports.wording import zone_text
from lawnmap.exports.wording.amounts import currency
from lawnmap.exports.wording.load_text import Load, loads
from lawnmap.exports.wording.pass_text import pass_lines
from lawnmap.exports.wording.rows import zone_rows
from lawnmap.exports.wording.sentences import in_units
from lawnmap.exports.wording.step_text import Step, steps, working
from lawnmap.pages.escape import Html, escape, join, said, tag
from lawnmap.pages.page import asset, filled, style
from lawnmap.pages.words import starting, word
from lawnmap.paper import Paper
from lawnmap.schema import DO, LEAVE

TITLE = "job sheet for the crew, to print"
SUFFIX = ".html"
AUDIENCE = "crew"

SHEETS = ("base.css", "papers/sheet.css")
TITLES = ("cautions", "ready", "days", "totals", "loads", "work", "after", "plan")
SEED = ("overseeding",)
COLUMNS = 5


def render(paper: Paper) -> bytes:
    """Return the page.

    Parameters
    ----------
    paper : Paper
        Already cut down to its audience; columns that are absent are not missed.

    Returns
    -------
    bytes
        UTF-8. The same paper gives the same bytes.
    """
    plan = paper.plan
    drawn = drawing(paper)
    fills = ["#ffffff"] * len(drawn.zones)
    if "verdict" in plan.zones.columns:
        fills = [
            "url(#work-none)" if each == LEAVE else "#ffffff" for each in plan.zones["verdict"]
        ]
    work = steps(plan.steps, paper.units)
    money = currency(plan.specification.choices)
    slots = {
        "title": escape(front.title(paper)),
        "head": style(*map(asset, SHEETS), front.running_head(paper)),
        "patterns": hatches.definitions(),
        "heading": front.heading(paper),
        "glance": front.glance(paper),
        "cautions": front.cautions(paper),
        "ready": _ticks("ready"),
        "plan": plan_svg(drawn, fills, paper.units, placed=plan.site.placed),
        "totals": totals_table(plan.totals, paper.units, money=money),
        "gates": iron_html.gates(paper),
        "compared": iron_html.compared(paper),
        "kept": kept_table(paper),
        "loads": _loads_table(paper, loads(plan.loads, paper.units)),
        "days": days_table(paper),
        "work": _work_table(paper, work),
        "after": _after(),
        "notes": front.notes(paper),
    }
    slots |= {f"{name}_title": escape(word(f"title.{name}")) for name in TITLES}
    return filled("papers/sheet.html", slots).encode("utf-8")


def _ticks(prefix: str) -> Html:
    """Return a list of sentences to tick."""
    return tag(
        "ul", join(tag("li", _box(), text) for text in starting(prefix).values()), class_="ticks"
    )


def _box() -> Html:
    return tag("span", class_="box", aria_hidden="true")


def _names(paper: Paper) -> dict[str, tuple[int, str]]:
    """Return number and name of each zone."""
    return {
        zone_id: (place, zone_text.name(row, zone_id))
        for place, (zone_id, row) in enumerate(zone_rows(paper.plan.zones), start=1)
    }


def _loads_table(paper: Paper, found: list[Load]) -> Html:
    if not found:
        return tag("p", word("load.none"), class_="note")
    names = _names(paper)
    rows = []
    for load in found:
        number, name = names.get(load.zone_id, (0, load.zone_id))
        what = join(
            [tag("span", said(load.product), class_="called"), tag("small", load.operation)]
        )
        lines = [tag("p", said(line)) for line in (load.full, load.last) if line]
        lines += [tag("small", load.mix)] if load.mix else []
        lines += [tag("p", said(load.flag), class_="flag")] if load.flag else []
        rows.append(
            tag(
                "tr",
                tag("td", tag("span", number, class_="pill"), class_="n"),
                tag("td", said(name), class_="name"),
                tag("td", what, tag("small", said(load.machine))),
                tag("td", join(lines), class_="load"),
            )
        )
    head = _head("number", "zone", "product", "each")
    weighed = "full_weigh" in paper.plan.loads and paper.plan.loads["full_weigh"].notna().any()
    weigh = tag("p", word("load.weigh_out" if weighed else "load.weigh"), class_="weigh")
    return join([weigh, tag("table", head, tag("tbody", join(rows)), class_="loads")])


def _work_table(paper: Paper, work: Mapping[str, list[Step]]) -> Html:
    """Return each zone's steps with a box to tick; the head repeats on every page."""
    bodies = []
    bouts = pass_lines(paper.plan.tables.get("passes"), paper.units)
    for place, (zone_id, row) in enumerate(zone_rows(paper.plan.zones), start=1):
        name = said(zone_text.name(row, zone_id))
        known_as = zone_text.subtitle(row)
        title = tag(
            "th",
            tag("span", place, class_="pill"),
            " ",
            name,
            " ",
            tag("small", said(" · ".join(part for part in _of_zone(row, known_as, paper) if part))),
            colspan=COLUMNS,
            scope="rowgroup",
        )
        rows = _step_rows(working(work.get(zone_id, [])), paper.units, bouts)
        lines = [tag("tr", title, class_="of"), *rows]
        bodies.append(tag("tbody", join(lines)))
    head = _head("done", "step", "amount", "area", "how")
    return tag("table", head, join(bodies), class_="work")


def _of_zone(row: zone_text.Row, known_as: str, paper: Paper) -> Iterable[str]:
    yield known_as
    yield zone_text.ground(row, paper.units)
    yield zone_text.verdict(row).text
    for line in zone_text.strips(row, paper.units):
        yield f"{line.label}: {line.text}"


def _step_rows(
    found: list[Step], units: str, bouts: Mapping[tuple[str, str], list[str]]
) -> list[Html]:
    if not found:
        return [tag("tr", tag("td", word("table.no_steps"), colspan=COLUMNS))]
    rows = []
    for step in found:
        rows.append(_step_row(step) if step.status == DO else _not_applied(step))
        lines = bouts.get((step.zone_id, step.operation), []) if step.status == DO else []
        rows += [
            tag("tr", tag("td"), tag("td", said(line), colspan=4), class_="bouts") for line in lines
        ]
        if step.operation in SEED and step.status == DO:
            asked = in_units(word("sheet.seed_rate"), units)
            rows.append(tag("tr", tag("td"), tag("td", asked, colspan=4), class_="fill"))
    return rows


def _step_row(step: Step) -> Html:
    day = tag("strong", said(f"{step.day}:"), class_="day") if step.day else ""
    how = "; ".join(part for part in (step.wait, step.remark) if part)
    extra = ", ".join(
        word(f"sheet.{key}", amount=amount)
        for key, amount in (("water", step.water), ("hours", step.hours))
        if amount
    )
    flag = tag("strong", said(step.flag), class_="flag") if step.flag else ""
    return tag(
        "tr",
        tag("td", _box(), class_="done"),
        tag("td", tag("strong", step.title), tag("small", said(step.means)), class_="title"),
        tag("td", step.amounts, tag("small", extra) if extra else "", class_="amount"),
        tag("td", step.area, class_="area"),
        tag("td", day, " " if step.day else "", said(how), " ", flag, class_="how"),
    )


def _not_applied(step: Step) -> Html:
    """Return a step that nobody may carry out from this sheet: no box, no rate."""
    return tag(
        "tr",
        tag("td", "–", class_="done"),
        tag("td", step.title, " ", front.badge(step.status), class_="title"),
        tag("td", said(step.day or step.remark), " ", said(step.flag), colspan=3, class_="how"),
        class_="out",
    )


def _after() -> Html:
    """Return what is written down when the work is done: the record's columns, to fill in."""
    lines = [
        tag("div", tag("span", text, class_="asked"), tag("span", class_="line"))
        for text in starting("after").values()
    ]
    return tag("div", join(lines), class_="fields")


def _head(*columns: str) -> Html:
    cells = [tag("th", word(f"table.{name}"), scope="col", class_=name) for name in columns]
    return tag("thead", tag("tr", join(cells)))
