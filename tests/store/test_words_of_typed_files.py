"""What is told, word for word, of a slip in a file that a person types.

A refusal that names another line, or a remedy that was lost, is as bad as none.
"""

import datetime as dt

import pytest

from lawnmap.model import Machine, Product
from lawnmap.store import closed, keys, toml_text, weather
from lawnmap.store.cards import MACHINE, PRODUCT, machine, product
from lawnmap.store.depot import parse_products
from lawnmap.store.keys import Key
from lawnmap.store.specification import parse
from tests.store.sites import told

PRODUCTS = {"Iron five": Product("Iron five", "liquid")}
MACHINES = {"can": Machine("can", "can")}
TYPED = "Copy from the label what the figure is of, and whether w/w, w/v or g/l."
NEEDED = "The columns are from, to, zones, reason, kind; from and to are needed."
QUOTES = 'Text stands in "quotes"; true, false, numbers and days stand without.'
WARMTH = "It needs date and mean_c, or date, min_c and max_c."
ON_AND_ON = "Look for brackets or digits that go on and on."
CELSIUS = "Temperatures are in °C; is this one in °F?"
TILES = (
    "Give an address such as https://tiles.example.org/{z}/{x}/{y}.png: https, a plain name of a "
    "host, and each of {z}, {x} and {y} once."
)
SEED = "[[product]]\nname = 'a'\nform = 'seed'\n"
KEYS = (
    Key("title", "text", ""),
    Key("rows", "tables", (), inside=(Key("name", "text", needed=True),)),
    Key("width_m", "number", low=0.5, high=3),
    Key("open", "yes or no"),
    Key("inner", "table", inside=(Key("people", "whole", low=1, high=9, needed=True),)),
)


def full(file, place, problem, remedy=""):
    """Return a message in the one form that all have."""
    head = ": ".join(part for part in (file, place, problem) if part)
    return " ".join(part for part in (f"{head}.", "Nothing was changed.", remedy) if part)


@pytest.mark.parametrize(
    ("text", "place", "problem", "remedy"),
    [
        ("zones = 3", "zones", "is not a table", "See the example."),
        ("zones.front = 3", "zones.front", "is not a table", "See the example."),
        ("zones.front.leave = 1", "zones.front.leave", "1 is not allowed", "Give true or false."),
        (
            'zones."a b".leave = true', "zones.a b", "is not a zone_id",
            "Use 1 to 32 letters, digits, _ and -, beginning with a letter or digit.",
        ),
        ("zones.frnt.leave = true", "zones", "'frnt' is not known", "Did you mean 'front'?"),
        (
            "strips.legal.water_m = 5", "strips.legal.water_m", "does not say who set it",
            'Give strips.legal.from: "law" or "site rule".',
        ),
        (
            "strips.feed.drain_m = 0", "strips.feed.drain_m", "does not say who set it",
            'Give strips.feed.from: "law" or "site rule".',
        ),
        ('weekdays = ["moonday"]', "weekdays", "'moonday' is not known", "Did you mean 'monday'?"),
        ("weekdays = []", "weekdays", "leaves no day to work on", 'Give ["monday"].'),
        (
            "first_day = 2027-05-01\nlast_day = 2027-04-30", "last_day", "is before first_day",
            "Swap the two days.",
        ),
        (
            'products.iron = "Iron fiv"', "products.iron", "'Iron fiv' is not known",
            "Did you mean 'Iron five'?",
        ),
        ('applicator.seed = "x"', "applicator.seed", "'x' is not known", "There are: can."),
        ('machines = ["can", "cam"]', "machines", "'cam' is not known", "Did you mean 'can'?"),
        ('blades = "cam"', "blades", "'cam' is not known", "Did you mean 'can'?"),
        (
            'basemap.url = "http://a/{z}/{x}/{y}"', "basemap.url",
            "is not an address of map tiles", TILES,
        ),
        (
            'basemap.url = "https://tiles.example/{z}/{x}/{y}.png"\nbasemap.attribution = " "',
            "basemap.attribution", "is missing", "Say whose map it is, as its terms ask for.",
        ),
    ],
)  # fmt: skip
def test_of_a_specification(text, place, problem, remedy):
    refused = told(
        parse,
        text.encode(),
        products=PRODUCTS,
        machines=MACHINES,
        zone_ids=["front"],
        name="s.toml",
    )
    assert refused == full("s.toml", place, problem, remedy)


def test_what_a_specification_may_say():
    text = (
        'first_day = 2027-05-01\nlast_day = 2027-05-01\nmachines = ["can"]\nblades = "can"\n'
        'basemap.url = "https://tiles.example/{z}/{x}/{y}.png"\nbasemap.attribution = "ours"\n'
        'strips.legal = {water_m = 0, from = "law"}\n'
    )
    found = parse(text.encode(), products=PRODUCTS, machines=MACHINES)
    assert found.choices["first_day"] == found.choices["last_day"] == dt.date(2027, 5, 1)
    assert found.choices["basemap"]["attribution"] == "ours"
    for alone in ("first_day = 2027-05-01", "last_day = 2027-05-01"):
        assert parse(alone.encode(), products={}, machines={}).choices[alone[: alone.index(" ")]]


@pytest.mark.parametrize(
    ("data", "place", "problem", "remedy"),
    [
        (b"a = 1\nb = \n", "line 2, column 5", "is not TOML: invalid value", QUOTES),
        (b"a = 'x", "end of document", 'is not TOML: expected "\'"', QUOTES),
        (b"b = '\xff'\n", "", "is not UTF-8 (byte 6)", "Save it as UTF-8."),
        (
            b"a = " + b"[" * 100_000, "", "is not TOML that can be read (RecursionError)",
            ON_AND_ON,
        ),
        (b"a = " + b"1" * 10_000, "", "is not TOML that can be read (ValueError)", ON_AND_ON),
    ],
)  # fmt: skip
def test_of_toml(data, place, problem, remedy):
    assert told(toml_text.loads, data, name="x.toml") == full("x.toml", place, problem, remedy)


@pytest.mark.parametrize(
    ("data", "place", "problem", "remedy"),
    [
        (b"from,zones\n2026-10-26,a\n", "", "has no column to", NEEDED),
        (b"to\n", "", "has no column from", NEEDED),
        (
            b"from,to,why\n", "the header", "'why' is not known",
            "There are: from, to, zones, reason, kind.",
        ),
        (
            b"from,to\n26/10/2026,2026-10-30\n", "line 2, from", "'26/10/2026' is not a day",
            "Write it as 2026-10-26.",
        ),
        (
            b"from,to\n2026-10-26," + b"9" * 50 + b"\n", "line 2, to",
            f"'{'9' * 40}' is not a day", "Write it as 2026-10-26.",
        ),
        (
            b"from,to\n\n2026-10-30,2026-10-26\n", "line 3", "ends before it begins",
            "Swap the days.",
        ),
        (
            b"from,to,zones\n2026-10-26,2026-10-30,front frnt\n", "line 2, zones",
            "'frnt' is not known", "Did you mean 'front'?",
        ),
        (
            b"from,to,zones\n2026-10-26,2026-10-30," + b"z" * 50 + b"\n", "line 2, zones",
            f"'{'z' * 40}' is not known", "There are: front.",
        ),
        (
            b"from,to,kind\n2026-10-26,2026-10-30," + b"z" * 50 + b"\n", "line 2, kind",
            f"'{'z' * 40}' is not known", "There are: closed, open only.",
        ),
        (
            b'from,to\n"2026-10-26,2026-10-30\n', "line 2",
            "is not a sound table (unexpected end of data)",
            "Look for a quote that is not closed.",
        ),
    ],
)  # fmt: skip
def test_of_closed_days(data, place, problem, remedy):
    refused = told(closed.parse, data, zone_ids=["front"], name="c.csv")
    assert refused == full("c.csv", place, problem, remedy)


@pytest.mark.parametrize(
    ("data", "place", "problem", "remedy"),
    [
        (b"date\n", "", "has no temperature of the air", WARMTH),
        (b"date,min_c,rain_mm\n", "", "has no temperature of the air", WARMTH),
        (b"mean_c\n1\n", "", "has no column date", WARMTH),
        (b"date,mean_c\n", "", "holds no day", "Fill it in or take it away."),
        (b"date,men_c\n", "the header", "'men_c' is not known", "Did you mean 'mean_c'?"),
        (
            b"date," + b"z" * 50 + b"\n", "the header", f"'{'z' * 40}' is not known",
            "There are: date, mean_c, min_c, max_c, soil_c, rain_mm, frost.",
        ),
        (
            b"date,mean_c\n2026-01-01,1\n2026-01-02,1\n2026-01-01,2\n", "line 4",
            "2026-01-01 stands in line 2 already", "Keep one line for each day.",
        ),
        (
            b"date,mean_c\n1/1/26,1\n", "line 2, date",
            "'1/1/26' is not a day from 1900 to 2100", "Write it as 2026-10-26.",
        ),
        (
            b"date,mean_c\n" + b"1" * 50 + b",1\n", "line 2, date",
            f"'{'1' * 40}' is not a day from 1900 to 2100", "Write it as 2026-10-26.",
        ),
        (b"date,mean_c\n2026-01-01,a\n", "line 2, mean_c", "'a' is not a number",
         "Write it as -1.5."),
        (b"date,mean_c\n2026-01-01,99\n", "line 2, mean_c", "99 is outside -50 to 45 °C", CELSIUS),
        (
            b"date,mean_c,rain_mm\n2026-01-01,9,-1\n", "line 2, rain_mm",
            "-1 is outside 0 to 1000 mm", "Rain is in mm.",
        ),
        (
            b"date,mean_c,frost\n2026-01-01,1," + b"m" * 50 + b"\n", "line 2, frost",
            f"'{'m' * 40}' is neither yes nor no", "Write yes or no, or leave it empty.",
        ),
        (b"date,min_c,max_c\n2026-01-01,5,1\n", "line 2", "min_c is above max_c",
         "Look for a slip."),
        (b"date,min_c,mean_c\n2026-01-01,5,1\n", "line 2", "min_c is above mean_c",
         "Look for a slip."),
        (b"date,mean_c,max_c\n2026-01-01,5,1\n", "line 2", "mean_c is above max_c",
         "Look for a slip."),
        (
            b'date,"mean_c\n', "line 1", "is not a sound table (unexpected end of data)",
            "Look for a quote that is not closed.",
        ),
    ],
)  # fmt: skip
def test_of_weather(data, place, problem, remedy):
    assert told(weather.parse, data, name="w.csv") == full("w.csv", place, problem, remedy)


@pytest.mark.parametrize(
    ("given", "place", "problem", "remedy"),
    [
        ({"analysis_pct": 5}, "analysis_as", "is missing beside analysis_pct", TYPED),
        (
            {"analysis_pct": 5, "analysis_as": "Fe"}, "analysis_basis",
            "is missing beside analysis_pct", TYPED,
        ),
        (
            {"analysis_pct": 100.5, "analysis_as": "Fe", "analysis_basis": "w/v"}, "analysis_pct",
            "100.5 is more than 100 %", "Copy it again.",
        ),
        (
            {"analysis_pct": 5, "analysis_as": "Fe", "analysis_basis": "w/w"}, "density_kg_l",
            "is missing: w/w of a liquid says nothing of a litre without it",
            "Copy it from the label or the safety data sheet.",
        ),
        (
            {"rate_g_m2": 1, "rate_ml_m2": 1}, "rate_ml_m2", "stands beside rate_g_m2",
            "Give one rate, as printed.",
        ),
        (
            {"water_low_l_m2": 2, "water_high_l_m2": 1}, "water_low_l_m2",
            "is above water_high_l_m2", "Swap them.",
        ),
    ],
)  # fmt: skip
def test_of_a_label_card(given, place, problem, remedy):
    values = keys.read({"name": "a", "form": "liquid", **given}, PRODUCT, file="x")
    assert told(product, values) == full("", place, problem, remedy)


def test_what_a_label_card_may_say():
    """The bounds themselves are good, and a rule binds only where it has to."""
    share = {"analysis_pct": 100, "analysis_as": "Fe", "analysis_basis": "w/w"}
    for given in (
        {"form": "granule", **share},
        {"form": "liquid", **share, "density_kg_l": 1.2},
        {"form": "liquid", **share, "analysis_basis": "w/v"},
        {"form": "liquid", **share, "analysis_basis": "g/l", "analysis_pct": 101},
        {"form": "granule", "rate_g_m2": 3},
        {"form": "liquid", "rate_ml_m2": 3},
        {"form": "liquid", "water_low_l_m2": 1, "water_high_l_m2": 1},
        {"form": "liquid", "water_low_l_m2": 9},
        {"form": "liquid", "water_high_l_m2": 1},
    ):
        made = product(keys.read({"name": "a", **given}, PRODUCT, file="x"))
        assert {name: getattr(made, name) for name in given} == given


@pytest.mark.parametrize(
    ("given", "place", "problem", "remedy"),
    [
        (
            {"width_m": 1, "overall_width_m": 0.9}, "overall_width_m", "is less than width_m",
            "Give the width of the whole machine.",
        ),
        (
            {"available_from": dt.date(2027, 5, 1), "available_until": dt.date(2027, 4, 30)},
            "available_until", "is before available_from", "Swap the two days.",
        ),
    ],
)  # fmt: skip
def test_of_a_machine(given, place, problem, remedy):
    values = keys.read({"name": "a", "kind": "can", **given}, MACHINE, file="x")
    assert told(machine, values) == full("", place, problem, remedy)


def test_what_a_machine_may_say():
    day = dt.date(2027, 5, 1)
    for given in (
        {"width_m": 0.9, "overall_width_m": 0.9},
        {"width_m": 0.9},
        {"overall_width_m": 0.9},
        {"available_from": day, "available_until": day},
        {"available_from": day},
        {"available_until": day},
    ):
        made = machine(keys.read({"name": "a", "kind": "can", **given}, MACHINE, file="x"))
        assert {name: getattr(made, name) for name in given} == given


@pytest.mark.parametrize(
    ("text", "place", "problem", "remedy"),
    [
        (SEED * 2, 'product 2 "a"', "has the name of an earlier one", "Give each its own name."),
        (
            f"{SEED}rate_g_m2 = 1\nrate_ml_m2 = 1\n", 'product 1 "a".rate_ml_m2',
            "stands beside rate_g_m2", "Give one rate, as printed.",
        ),
        (f"{SEED}[[product]]\n", "product 2.name", "is missing",
         "Give text such as 'Moss iron 5'."),
        ("product = 1", "product", "is not a list", "See the example."),
        ("[[prodct]]", "", "'prodct' is not known", "Did you mean 'product'?"),
    ],
)  # fmt: skip
def test_of_a_table_of_cards(text, place, problem, remedy):
    refused = told(parse_products, text.encode(), name="p.toml")
    assert refused == full("p.toml", place, problem, remedy)


@pytest.mark.parametrize(
    ("value", "place", "problem", "remedy"),
    [
        (3, "top", "is not a table", "See the example."),
        ({"tilte": 1}, "top", "'tilte' is not known", "Did you mean 'title'?"),
        ({"inner": {}}, "top.inner.people", "is missing", "Give a whole number from 1 to 9."),
        (
            {"inner": {"peeple": 1}}, "top.inner", "'peeple' is not known",
            "Did you mean 'people'?",
        ),
        ({"inner": 3}, "top.inner", "is not a table", "See the example."),
        ({}, "top.inner.people", "is missing", "Give a whole number from 1 to 9."),
        ({"rows": 3}, "top.rows", "is not a list", "See the example."),
        ({"rows": [{}]}, "top.rows 1.name", "is missing", 'Give text in "quotes".'),
        (
            {"rows": [{"name": "a"}, {"name": 3}]}, 'top.rows 2 "3".name', "3 is not allowed",
            'Give text in "quotes".',
        ),
        ({"width_m": 9}, "top.width_m", "9 is not allowed", "Give a number from 0.5 to 3."),
        ({"open": "x" * 60}, "top.open", f"'{'x' * 39} is not allowed", "Give true or false."),
        ({"title": True}, "top.title", "true is not allowed", 'Give text in "quotes".'),
        ({"title": False}, "top.title", "false is not allowed", 'Give text in "quotes".'),
        ({"title": "a\0"}, "top.title", r"'a\x00' is not allowed", 'Give text in "quotes".'),
        (
            {"title": "x" * 2_001}, "top.title", "is longer than 2,000 characters",
            "Say it in fewer words.",
        ),
    ],
)  # fmt: skip
def test_of_a_key(value, place, problem, remedy):
    refused = told(keys.read, value, KEYS, file="x.toml", place="top")
    assert refused == full("x.toml", place, problem, remedy)


def test_the_longest_text_that_may_be_typed():
    given = {"title": "x" * 2_000, "inner": {"people": 1}}
    assert keys.read(given, KEYS, file="x.toml")["title"] == given["title"]


def test_a_name_is_never_taken_for_another_of_the_same_beginning():
    """One name is offered, the nearest, whatever iterable the names come in."""
    refused = keys.unknown("widht", iter(["width", "height", "weight"]), file="f", place="p")
    assert str(refused) == full("f", "p", "'widht' is not known", "Did you mean 'width'?")
    assert str(keys.unknown("a", [], file="f", place="p")).endswith("There are none.")
