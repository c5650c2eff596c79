"""Laws that no plan may break, whatever the lawn, the label, the season and the programme.

Checked on the amounts in the steps, their waits, and the days a whole plan gives them.
"""

import datetime as dt
from dataclasses import replace
from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from lawnmap.jobs.beginning import treatments
from lawnmap.jobs.deciding import decided
from lawnmap.jobs.measure import measure
from lawnmap.jobs.plan import plan
from lawnmap.model import LONLAT, Machine, Site
from lawnmap.processing.iron.label_card import OPERATION
from lawnmap.processing.setting_out.strips import strips
from lawnmap.store import specification as written
from tests.conftest import IRON
from tests.processing.sites import box

RAKE = Machine("rake", "rake")
PETROL = Machine("petrol", "petrol", width_m=0.38, speed_km_h=3.0, field_efficiency=0.7)
CAN = Machine("can", "can", tank_l=10, water_l_m2=0.625, area_m2_h=200)
LONGEST_WAIT = 42  # days from iron to seed, the longest published (a US nursery page: 4 to 6 weeks)
EPSILON = 1e-9

covers = st.floats(0, 100)
lawns = st.fixed_dictionaries(
    {
        "moss_cover_pct": covers,
        "thatch_rating": st.integers(0, 4),
        "bare_pct": st.floats(0, 60),
        "sun_hours_seen": st.sampled_from([None, 5.0, 8.0]),
        "tug_test": st.sampled_from([None, "holds", "comes up"]),
        "sown_last": st.sampled_from([None, "2025-05-01", "2027-03-01", "2027-08-01"]),
    }
)
labels = st.fixed_dictionaries(
    {
        "most_doses_a_year": st.sampled_from([None, 1, 2, 3, 6]),
        "least_days_between": st.sampled_from([None, 7, 28]),
        "iron_to_seed_days": st.sampled_from([None, 0, 21, 60]),
        "iron_to_rake_days": st.sampled_from([None, 7, 21]),
        "seed_to_iron_days": st.sampled_from([None, 30, 180]),
        "rate_printed": st.sampled_from(["50 g in 10 l over 16 m²", "8 g/m²"]),
    }
)
first_days = st.dates(dt.date(2027, 3, 1), dt.date(2027, 11, 30))
programmes = st.sampled_from(["", "spring iron", "seed now", "iron now"])
blades = st.sampled_from([RAKE, PETROL])


def site(*zones):
    """Lawns of 12 × 15 m side by side."""
    features = [
        {
            "type": "Feature",
            "geometry": box(20.0 * number, 0, 20.0 * number + 12, 15),
            "properties": {
                "feature": "zone", "zone_id": f"z{number}",
                **{name: value for name, value in zone.items() if value is not None},
            },
        }
        for number, zone in enumerate(zones)
    ]  # fmt: skip
    return Site(
        {"type": "FeatureCollection", "lawnmap": {"format": 1, "revision": 1}, "features": features}
    )


def choices(label, first_day, programme="", machine=RAKE):
    card = replace(IRON, **label)
    text = f'country = "GB"\nfirst_day = {first_day}\nprogramme = "{programme}"\n'
    machines = {each.name: each for each in (machine, CAN)}
    found = written.parse(text.encode(), products={card.name: card}, machines=machines)
    return replace(found, choices={**found.choices, "today": first_day - dt.timedelta(days=30)})


def steps_of(zones, *chosen):
    """Return zones and steps without their days, which take most of the time of a plan."""
    found, specification = site(*zones), choices(*chosen)
    measured = measure(found)
    lit = measured.zones.assign(sun_used_h=measured.zones["sun_hours_seen"])
    stripped, _ = strips(lit, measured.lawn, found.features, specification)
    made = decided(stripped, found.features, specification, treatments(specification))
    return made.zones, made.marked.steps


def live(steps):
    return steps[steps["status"].isin(["do", "for pricing only"])]


def iron_of(steps):
    return live(steps)[live(steps)["operation"].isin(OPERATION.values())]


def wait_of(label):
    days = label["iron_to_seed_days"]
    return LONGEST_WAIT if days is None else days


def dates(column):
    return [dt.date.fromisoformat(each) for each in column if each]


def test_the_sites_are_sound():
    zones = site({"moss_cover_pct": 60.0}, {"moss_cover_pct": 10.0}).zones
    assert zones.crs == LONLAT
    assert zones.is_valid.all()


@settings(max_examples=15, deadline=None)
@given(lawns, covers, labels, first_days, programmes, blades)
def test_more_moss_never_lowers_the_iron_of_a_season(lawn, other, label, day, programme, machine):
    """Else all equal, and no deep mat, which takes no iron at all."""
    less, more = sorted((lawn["moss_cover_pct"], other))
    zones = [{**lawn, "moss_cover_pct": less}, {**lawn, "moss_cover_pct": more}]
    _, steps = steps_of(zones, label, day, programme, machine)
    season = iron_of(steps).groupby("zone_id")["amount"].sum().reindex(["z0", "z1"], fill_value=0.0)
    assert season["z1"] >= season["z0"] * (1 - EPSILON)


@settings(max_examples=20, deadline=None)
@given(lawns, labels, first_days, programmes, blades)
def test_iron_and_seed_keep_their_distance_both_ways(lawn, label, day, programme, machine):
    """The label's waits; else 42 days to seed, and no iron at all on grass of unknown age."""
    _, steps = steps_of([lawn], label, day, programme, machine)
    rows = live(steps)
    # One that is only made if moss is still green is waited for when it is on record.
    rows = rows[rows["rule"] != "iron_repeat"].reset_index(drop=True)
    at = rows["wait_days"].fillna(0.0).cumsum()
    iron, seed = rows["operation"].isin(OPERATION.values()), rows["operation"] == "overseeding"
    for place in rows.index[seed]:
        assert (at[place] - at[iron] >= wait_of(label)).all(), "seed inside the wait, or before"
    if lawn["sown_last"] is not None and iron.any():
        limit = label["seed_to_iron_days"]
        assert limit is not None
        assert (day - dt.date.fromisoformat(lawn["sown_last"])).days >= limit


@settings(max_examples=12, deadline=None)
@given(st.lists(lawns, min_size=1, max_size=3), labels, first_days, programmes, blades)
def test_no_plan_exceeds_the_label(zones, label, day, programme, machine):
    """Single dose, doses in a year, their distance, and so the total of a year."""
    judged, steps = steps_of(zones, label, day, programme, machine)
    rate = 8.0 if label["rate_printed"] == "8 g/m²" else 50 / 16
    most, between = label["most_doses_a_year"], label["least_days_between"]
    number = 1 if most is None or between is None else most
    for zone_id, rows in iron_of(steps).groupby("zone_id"):
        ground = judged.loc[zone_id, "ground_area_m2"]
        assert (rows["dose"] <= rate * (1 + EPSILON)).all()
        assert (rows["amount"] <= rate * ground * (1 + EPSILON)).all()
        assert len(rows) <= number
        assert rows["amount"].sum() <= number * rate * ground * (1 + EPSILON)
        assert (rows["wait_days"].iloc[1:] >= (between or 0)).all()


@settings(max_examples=8, deadline=None)
@given(lawns, labels, first_days, st.sampled_from(["spring iron", "seed now", "iron now"]))
def test_what_a_programme_leaves_for_later_has_no_amount_and_a_reason(lawn, label, day, programme):
    _, steps = steps_of([lawn], label, day, programme)
    later = steps[steps["status"] == "later"]
    assert later[["dose", "amount", "water_l", "hours"]].isna().all(axis=None)
    assert later["rule"].str.startswith("programme_later").all()
    assert (later["remark"] != "").all()


@settings(max_examples=3, deadline=None)
@given(lawns, labels, first_days, programmes, blades)
def test_the_days_of_a_whole_plan_keep_the_same_laws(lawn, label, day, programme, machine):
    specification = choices(label, day, programme, machine)
    today = specification.choice("today")
    steps = plan(site(lawn), specification, today=today, setting_out=False).steps
    iron, seed = iron_of(steps), live(steps)[live(steps)["operation"] == "overseeding"]
    ends = [*dates(iron["day"]), *dates(iron["day_last"])]
    assert all((b - a).days >= wait_of(label) for b in dates(seed["day"]) for a in ends)
    if lawn["sown_last"] is not None:
        sown, limit = dt.date.fromisoformat(lawn["sown_last"]), label["seed_to_iron_days"]
        assert all(limit is not None and (a - sown).days >= limit for a in ends)
    days = sorted(dates(iron["day"]))
    assert all((b - a).days >= label["least_days_between"] for a, b in pairwise(days))
