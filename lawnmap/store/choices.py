"""The keys of ``specification.toml``: the choices for a site."""

from __future__ import annotations

from lawnmap import schema
from lawnmap.store.keys import Key

_WORDS = {column.name: column.words for column in schema.facts("zones")}

# In the order of the work. What a zone does not need, its treatment leaves out.
OPERATIONS = (
    "mowing",
    "iron_liquid",
    "iron_soluble",
    "lawn_sand",
    "raking",
    "scarifying",
    "clearing",
    "aerating",
    "overseeding",
    "top_dressing",
    "feeding",
    "watering",
)

TURF_TYPE = Key(
    "turf_type",
    "text",
    "general lawn",
    words=_WORDS["turf_type"],
    means="Use of the turf.",
)
IRON = Key(
    "iron",
    "text",
    "allowed",
    words=_WORDS["iron"],
    means="Whether iron may be used against moss. A plan without iron is a whole plan.",
)
DOING = Key(
    "operations",
    "names",
    OPERATIONS,
    means="Treatments to consider. A zone that does not need one does not get it.",
)
SEEDING_WANTED = Key("wanted", "yes or no", default=True, means="Whether to overseed.")

PRODUCTS = Key(
    "products",
    "table",
    means="Names of label cards in products.toml. Without a card amounts are for pricing only.",
    inside=(
        Key("iron", "text", "", means="Against moss."),
        Key("seed", "text", ""),
        Key("feed", "text", ""),
        Key("dressing", "text", ""),
    ),
)
APPLICATOR = Key(
    "applicator",
    "table",
    means="What each product is put on with: names from machines.toml.",
    inside=(
        Key("iron", "text", ""),
        Key("seed", "text", ""),
        Key("feed", "text", ""),
    ),
)
CREW = Key(
    "crew",
    "table",
    means="Who does the work.",
    inside=(
        Key("people", "whole", 1, 1, 100),
        Key("hours_a_day", "number", 7.0, 0.5, 16, means="Hours of work a day, breaks left out."),
    ),
)
SEEDING = Key(
    "seeding",
    "table",
    means="Seed after the blades.",
    inside=(
        SEEDING_WANTED,
        Key("rate_g_m2", "number", None, 1, 150, means="Your rate, over all."),
        Key("mixture", "text", "", means="Grasses in the mixture, in words."),
    ),
)
TOP_DRESSING = Key(
    "top_dressing",
    "table",
    means="Dressing worked into the sward.",
    inside=(
        Key("wanted", "yes or no", default=False),
        Key("depth_mm", "number", None, 0.5, 15),
        Key("reason", "text", "", means="Why; it is printed beside the amount."),
    ),
)
BAGS = Key(
    "bags",
    "table",
    means="What the arisings go into.",
    inside=(
        Key("bag_l", "number", 60.0, 5, 2_000, means="Litres in a bag."),
        Key("bin_l", "number", 240.0, 20, 40_000, means="Litres in a bin or skip."),
    ),
)
LEGAL = Key(
    "legal",
    "table",
    means="Clearance that law or a site rule sets; that of the label stands on its card. Where "
    "nobody has set one, nothing is applied.",
    inside=(
        Key("water_m", "number", None, 0, 200, means="From open water and wells."),
        Key("drain_m", "number", None, 0, 200, means="From drains and gullies."),
        Key("from", "text", "", words=("", "law", "site rule"), means="Who set it."),
        Key("note", "text", "", means="Where it is written."),
    ),
)
WORKMANSHIP = Key(
    "workmanship",
    "table",
    means="Strip along paving and walls kept clear of iron: no law sets it.",
    inside=(Key("paving_m", "number", None, 0, 10),),
)
RATES = Key(
    "rates",
    "table",
    means="Your own rates, in place of the published ones.",
    inside=(
        Key("nitrogen_g_m2", "number", None, 0, 10, means="Nitrogen in one feed."),
        Key("water_mm_a_day", "number", None, 0, 20, means="Water for new seed."),
    ),
)
MONEY = Key(
    "money",
    "table",
    means="For the cost of a plan.",
    inside=(
        Key("currency", "text", "", means="As it is to be printed."),
        Key("hour_rate", "number", None, 0, 10_000, means="Price of an hour."),
    ),
)

CHOICES = (
    TURF_TYPE,
    IRON,
    Key(
        "country",
        "text",
        "",
        pattern="([A-Z]{2})?",
        example="GB",
        means="Where the site lies: two letters as in ISO 3166-1. Label cards are held against it.",
    ),
    Key(
        "user",
        "text",
        "home",
        words=("home", "professional"),
        means="Who applies the products.",
    ),
    Key(
        "season",
        "text",
        "",
        words=("", "spring", "autumn"),
        means="When the work is to be done; empty goes by first_day.",
    ),
    Key("first_day", "day", means="First day on which work can begin."),
    DOING,
    Key("machines", "names", (), means="Machines to hand, by name; empty means all there are."),
    Key("contact", "text", "", means="Whom to ask: printed on what is handed over."),
    Key("keep_off", "text", "", means="Your own words about keeping off treated ground."),
    PRODUCTS,
    APPLICATOR,
    CREW,
    SEEDING,
    TOP_DRESSING,
    BAGS,
    Key("strips", "table", inside=(LEGAL, WORKMANSHIP)),
    RATES,
    MONEY,
)

# What a single zone may have otherwise, under [zones.ID].
ZONE = (
    TURF_TYPE,
    IRON,
    DOING,
    Key("seeding", "table", inside=(SEEDING_WANTED,)),
    Key("leave", "yes or no", default=False, means="Leave the zone alone."),
    Key("reason", "text", "", means="Why the zone is treated otherwise, or left alone."),
)
