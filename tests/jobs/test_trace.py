"""Every number on the job sheet and in the terminal is traced to rule, inputs and source."""

import datetime as dt
import re
from dataclasses import replace
from pathlib import Path

import pandas as pd
import pytest

from lawnmap.cli import buying_text, plan_text, trace_text
from lawnmap.errors import InputRefused
from lawnmap.exports.sheet import render
from lawnmap.exports.wording.amounts import SPACE, THIN
from lawnmap.jobs import trace as tracing
from lawnmap.jobs.calendar import calendar
from lawnmap.jobs.choices import choices
from lawnmap.jobs.opening import open_site
from lawnmap.jobs.plan import plan
from lawnmap.jobs.trace import trace
from lawnmap.pages.words import known
from lawnmap.processing.disclose import disclose
from lawnmap.reference import tables
from lawnmap.schema import LEAVE

SAMPLE = Path(__file__).parents[2] / "sample_geo" / "site"
TODAY = dt.date(2026, 8, 1)
ZONES = (
    "front-west", "front-east", "side-strip", "terrace", "main", "pond-side", "under-oak",
    "bank-west", "bank-east", "orchard", "east-walk", "play-corner",
)  # fmt: skip
NUMBER = re.compile(r"\d[\d,]*(?:\.\d+)?")
# Numbers of the sheet that are no numbers of the plan:
#   the place of a zone in the list, in its round mark (taken out as class "pill");
#   what a client or a contract calls a zone (its subtitle), which is a fact and never worked out.
NOT_WORKED_OUT = re.compile(r'<span class="pill">\d+</span>')
# Rows whose numbers nobody prints need neither inputs nor values; their sentence says it all.
ALONE = ("caution", "season", "what would stop the moss", "costs", "quote", "programmes")


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    opened = open_site(str(SAMPLE))
    specification = choices(
        opened, depot=None, personal=tmp_path_factory.mktemp("nobody"), today=TODAY
    )
    return plan(opened.site, specification, calendar(opened), today=TODAY)


@pytest.fixture(scope="module")
def sheet(made):
    return render(disclose(made, "crew")).decode("utf-8")


def test_what_a_choice_leaves_empty_is_not_told(made):
    told = [one.value for each in trace(made, "main") for one in each.inputs]
    assert any(each.startswith("water_m ") for each in told)
    assert [each for each in told if re.search(r"\b(?:from|note)\s*(?:;|$)", each)] == []


def words(html):
    """Return the words of a piece of the sheet, numbers without their thin spaces."""
    bare = re.sub(r"<[^>]+>", " ", NOT_WORKED_OUT.sub("", html))
    return bare.replace(THIN, "").replace(SPACE, " ").replace("&#x27;", "'")


def numbers(text):
    """Return the numbers in some words, and how many decimals each has."""
    found = [each.replace(",", "") for each in NUMBER.findall(text)]
    return {(float(each), len(each.partition(".")[2])) for each in found}


def untraced(printed, traced):
    """Return the numbers that are printed, and that no number of the trace rounds to."""
    known = [value for value, _ in numbers(traced)]
    return {
        value
        for value, decimals in numbers(printed)
        if not any(abs(each - value) <= 0.5 * 10**-decimals * (1 + 1e-9) for each in known)
    }


def on_sheet(sheet, zone_id):
    """Return what the sheet says of a zone: the rows of its steps with their titles, its loads."""
    pill = f'<span class="pill">{ZONES.index(zone_id) + 1}</span>'
    found: list[tuple[str, str]] = []
    for table in re.findall(r'<table class="work">.*?</table>', sheet, re.DOTALL):
        for body in re.findall(r"<tbody>.*?</tbody>", table, re.DOTALL):
            if pill in body:
                found += rows_of(body)
    loads = [
        row
        for table in re.findall(r'<table class="loads">.*?</table>', sheet, re.DOTALL)
        for row in re.findall(r"<tr>.*?</tr>", table, re.DOTALL)
        if pill in row
    ]
    return found, words(" ".join(loads))


def rows_of(body):
    """Return the rows of a zone's table as title and words; the head of the zone has no title."""
    found: list[tuple[str, str]] = []
    for row in re.findall(r"<tr.*?</tr>", body, re.DOTALL):
        if 'class="bouts"' in row:  # belongs to the step above it
            title, said = found.pop()
            found.append((title, said + words(row)))
        elif 'class="fill"' not in row:
            title = re.search(r'class="title">.*?<strong>(.*?)</strong>', row, re.DOTALL)
            found.append((title[1] if title else "", words(row)))
    return found


def parted(traces):
    """Return the traces of the zone itself, of each step by its number, and of the loads."""
    zone, steps, loads = [], {}, []
    for each in traces:
        step = re.match(r"step (\d+), ", each.what)
        if step:
            steps.setdefault(int(step[1]), []).append(each)
        elif each.what.startswith("loads"):
            loads.append(each)
        elif not steps:
            zone.append(each)
    return zone, steps, loads


def test_the_sample_has_these_zones(made):
    assert tuple(made.zones.index) == ZONES


@pytest.mark.parametrize("zone_id", ZONES)
def test_every_number_on_the_sheet_is_traced(made, sheet, zone_id):
    rows, loads = on_sheet(sheet, zone_id)
    zone, steps, filled = parted(trace(made, zone_id))
    own = trace_text.text(zone_id, zone)
    assert untraced(loads, trace_text.text(zone_id, filled)) == set()
    shown = made.steps[(made.steps["zone_id"] == zone_id) & (made.steps["status"] == "do")]
    shown = shown[shown["operation"] != LEAVE]
    titles = {known("operation", each) for each in shown["operation"]}
    assert {title for title, _ in rows if title} >= titles
    for title, row in rows:
        of = [
            line
            for number, operation in zip(shown["sequence"], shown["operation"], strict=True)
            if known("operation", operation) == title
            for line in steps[number]
        ]
        assert untraced(row, own + trace_text.text(zone_id, of)) == set(), row


@pytest.mark.parametrize("zone_id", ZONES)
def test_every_number_in_the_terminal_is_traced(made, zone_id):
    one = plan_text.narrowed(made, zone_id)
    lines = plan_text.text(one).partition("\n\n")[0].splitlines()
    top = next(place for place, line in enumerate(lines) if line.strip().startswith("step "))
    last = top + 1 + len(one.steps)
    head, rows, rest = "\n".join(lines[:top]), lines[top + 1 : last], "\n".join(lines[last:])
    zone, steps, loads = parted(trace(made, zone_id))
    assert untraced(head.partition(": ")[2], trace_text.text(zone_id, zone)) == set()
    for number, row in zip(one.steps["sequence"], rows, strict=True):
        printed = row.strip().removeprefix(str(number))
        assert untraced(printed, trace_text.text(zone_id, steps[number])) == set(), row
    of_all = trace_text.text(zone_id, [each for one in steps.values() for each in one])
    assert untraced(rest, of_all) == set()
    shown = buying_text.loads(one.loads, "metric").splitlines()[1:]
    printed = " ".join(shown).replace(zone_id, "")
    assert untraced(printed, trace_text.text(zone_id, loads)) == set()


@pytest.mark.parametrize("zone_id", ZONES)
def test_every_strip_on_the_sheet_is_traced(made, sheet, zone_id):
    start = f'<tr class="strip"><td class="n"><span class="pill">{ZONES.index(zone_id) + 1}</span>'
    rows = re.findall(rf"{re.escape(start)}.*?</tr>", sheet, re.DOTALL)
    assert len(rows) == (made.layers["kept_clear"]["zone_id"] == zone_id).sum()
    zone, _, _ = parted(trace(made, zone_id))
    assert untraced(words(" ".join(rows)), trace_text.text(zone_id, zone)) == set()


def test_a_number_that_is_not_traced_is_seen(made):
    traced = trace_text.text("main", trace(made, "main"))
    assert untraced("987.125 l of nothing", traced) == {987.125}


@pytest.mark.parametrize("zone_id", ZONES)
def test_each_says_its_rule_and_what_went_in(made, zone_id):
    for each in trace(made, zone_id):
        assert each.how
        assert each.rule in tables.rules() or not each.rule
        assert "?" not in each.how, each
        if not any(each.what.startswith(name) or name in each.what for name in ALONE):
            assert len(each.inputs) + len(each.values), each.what
        for given in each.inputs:
            assert given.origin
            assert given.value not in ("", "?")


def test_where_things_come_from(made):
    found = {given.origin.partition(",")[0] for each in trace(made, "pond-side")
             for given in each.inputs}  # fmt: skip
    assert found >= {
        "measured; in the site file",
        "seen; in the site file",
        "specification",
        "label card",
        "depot",
        "worked out in step measure",
    }
    (moss,) = [each for each in trace(made, "main") if each.rule == "moss_judged"]
    assert moss.inputs[0].origin in {"rated; in the site file", "measured; in the site file"}


def test_a_published_value_has_its_source_and_standing(made):
    (depth,) = [each for each in trace(made, "front-west") if each.rule.startswith("depth_")]
    (value,) = depth.values  # noqa: PD011 - no Series
    assert (value.id, value.standing) == ("depth_lawn_mm", "published")
    assert "kbeg.net" in value.source
    assert depth.sources


# Columns of a step that are printed, and the name of the trace that gives each.
PRINTED = {
    "amount": "amount",
    "dose": "dose",
    "area_m2": "area",
    "passes": "passes",
    "water_l": "water",
    "hours": "hours",
    "wait_days": "wait",
}


@pytest.mark.parametrize("zone_id", ZONES)
def test_each_number_of_a_step_has_a_trace_of_its_own(made, zone_id):
    _, steps, _ = parted(trace(made, zone_id))
    for _, step in made.steps[made.steps["zone_id"] == zone_id].iterrows():
        found = {each.what.rpartition(": ")[2]: each for each in steps[step["sequence"]]}
        wanted = {name: step[column] for column, name in PRINTED.items() if step[column] > 0}
        assert {name: found[name].figures[0].high for name in wanted} == wanted
        assert ("day" in found) == bool(step["day"])


def test_what_is_bought_is_traced(made, sheet):
    table = re.search(r'<table class="totals">.*?</table>', sheet, re.DOTALL)[0]
    whole = [
        each for zone_id in ZONES for each in trace(made, zone_id) if "whole site" in each.what
    ]
    assert len(numbers(words(table))) > 8
    assert untraced(words(table), trace_text.text("", whole)) == set()


def test_each_caution_has_its_standing(made):
    found = {each.sheet: each for each in trace(made, "main") if each.what == "caution"}
    assert set(found) == {words(each) for each in made.cautions}
    assert all(each.standing in tables.STANDINGS for each in found.values())
    (hazard,) = [each for said, each in found.items() if said.startswith("Harmful if swallowed")]
    assert hazard.standing == "published"
    assert "GisChem" in hazard.sources[0]


def test_doses_times_areas_are_the_amounts(made):
    # What is traced is what was worked out: the inputs of an amount give it again.
    steps = made.steps[made.steps["operation"].str.startswith("iron") & (made.steps["dose"] > 0)]
    assert len(steps) > 3
    for _, step in steps.iterrows():
        title = f"step {step['sequence']}, "
        parts = {
            each.what.rpartition(": ")[2]: each
            for each in trace(made, step["zone_id"])
            if each.what.startswith(title)
        }
        dose, area = parts["dose"].figures[0].high, parts["area"].figures[0].high
        assert dose * area == pytest.approx(parts["amount"].figures[0].high, rel=1e-9)


def test_the_amounts_of_all_zones_are_what_is_bought(made):
    for each in trace(made, "main"):
        if each.rule == "total_amount":
            parts = [NUMBER.search(given.value)[0] for given in each.inputs]
            assert sum(map(float, parts)) == pytest.approx(each.figures[0].high, rel=0.01)


def test_what_was_meant_is_named(made):
    with pytest.raises(InputRefused, match="Did you mean main"):
        trace(made, "mian")
    assert trace(made, "MAIN") == trace(made, "main")


OTHERWISE = {
    "no iron": {"iron": "not on this site"},
    "square": {"turf_type": "cricket square"},
    "dressing, no strips": {"top_dressing": {"wanted": True, "reason": "level"}, "strips": {}},
}


@pytest.mark.parametrize("changed", OTHERWISE.values(), ids=OTHERWISE.keys())
def test_other_choices_are_traced_as_well(made, changed):
    specification = replace(made.specification, choices={**made.specification.choices, **changed})
    other = plan(made.site, specification, today=TODAY)
    for zone_id in ZONES:
        for each in trace(other, zone_id):
            assert each.how
            assert "?" not in each.how, each


def test_the_rule_of_a_plugin_is_named(made):
    steps = made.steps.assign(rule="rule_of_a_plugin", sources="")
    found = trace(replace(made, steps=steps), "main")
    own = [each for each in found if each.rule == "rule_of_a_plugin"]
    assert own
    assert all("rule_of_a_plugin" in each.how for each in own)


def test_a_table_more_is_traced_without_a_change(made):
    row = {"zone_id": "main", "product": "Nobody's (invented)", "rule": "season_any", "dose": 3.0}
    other = {**row, "zone_id": "terrace", "dose": 5.0}
    more = replace(made, tables={**made.tables, "steps": pd.DataFrame([row, other])})
    found = [each for each in trace(more, "main") if each.what.startswith("steps: ")]
    assert [[figure.high for figure in each.figures] for each in found] == [[3.0]]
    assert found[0].how == tables.sentence("season_any", {})


def test_a_tracer_more_is_one_line(made, monkeypatch):
    own = tracing.TRACERS[0]
    monkeypatch.setattr(tracing, "TRACERS", (own, own))
    assert len(trace(made, "main")) == 2 * len(list(own(ground_of(made))))


def ground_of(made):
    (row,) = made.zones.loc[["main"]].drop(columns="geometry").to_dict("records")
    return tracing.Ground(made, "main", row)


def test_a_strip_and_a_dose_have_the_standing_of_who_set_them(made):
    """The rule that hands a figure on does not make a label's figure of a rule of thumb."""
    found = {each.what: each for each in trace(made, "main")}
    strip = found["water strip"]
    assert strip.standing == made.zones.loc["main", "water_strip_from"]
    steps = made.steps[made.steps["zone_id"] == "main"]
    told = {each.what: each.standing for each in found.values() if each.rule == "amount_by_dose"}
    assert told
    for what, standing in told.items():
        sequence = int(what.removeprefix("step ").split(",")[0])
        assert standing == steps.set_index("sequence").loc[sequence, "standing"]


def test_where_no_water_is_mapped_nobody_set_a_strip(made):
    zones = made.zones.assign(water_strip_from="none mapped", water_strip_m=0.0)
    found = {each.what: each for each in trace(replace(made, zones=zones), "main")}
    assert found["water strip"].how.startswith("No water or drain is mapped")
    assert found["water strip"].standing != "label"
