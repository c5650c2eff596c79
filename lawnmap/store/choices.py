"""The keys of ``specification.toml``: the choices for a site."""

from __future__ import annotations

from lawnmap import schema
from lawnmap.agronomy.unit_systems import METRIC, SYSTEMS
from lawnmap.logistics.work import WEEKDAYS
from lawnmap.store.keys import Key
from lawnmap.store.map_choices import BASEMAP
from lawnmap.store.pass_choices import DIRECTION, PASS_LINES
from lawnmap.store.strip_choices import STRIPS

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
    "first_cut",
)

PROGRAMME = Key(
    "programme",
    "text",
    "",
    words=("", "spring iron", "seed now", "iron now"),
    means="Which way out when the season is too short for iron, its wait and seed; empty leaves it "
    "open.",
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
BLADES = Key(
    "blades",
    "text",
    "",
    means="Rake or machine for the blades by name, wherever it may go; empty lets size, time and "
    "cost decide.",
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
        Key("dressing", "text", ""),
    ),
)
CREW = Key(
    "crew",
    "table",
    means="Who does the work.",
    inside=(
        Key("people", "whole", 1, 1, 100),
        Key("hours_a_day", "number", 7.0, 0.5, 16, means="Hours of work a day, breaks left out."),
        Key("evening_h", "number", 2.0, 0.5, 8, means="Hours of an evening, for work by hand."),
        Key(
            "hours_planned",
            "text",
            "middle",
            words=("fewest", "middle", "most"),
            means="Where between fewest and most hours of a step its days are planned.",
        ),
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
WEIGHING = Key(
    "weighing",
    "table",
    means="What loads are weighed out and mixed with.",
    inside=(
        Key("scale_g", "number", 1.0, 0.001, 1_000, means="Smallest step of the scales in g."),
        Key("jug_ml", "number", 10.0, 0.01, 1_000, means="Smallest step of the jug in ml."),
        Key(
            "water_c",
            "number",
            None,
            0,
            60,
            means="How warm the water is in °C; else as cold as it can be.",
        ),
    ),
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
        Key("travel_a_visit", "number", None, 0, 100_000, means="Price of the way, a visit."),
        Key("decimals", "whole", 2, 0, 3, means="Places behind the point."),
    ),
)
DISPOSAL = Key(
    "disposal",
    "table",
    means="Where the arisings go. A load is full by volume or by weight, whichever comes first.",
    inside=(
        Key(
            "route",
            "text",
            "",
            words=("", "on site", "bins", "tip", "skip"),
            means="A heap on site (never beside water), the client's bins, a trade tip, a skip.",
        ),
        Key("load_l", "number", None, 50, 100_000, means="Litres in a trailer or skip."),
        Key("load_kg", "number", None, 10, 50_000, means="Kilograms it may carry."),
        Key("price_a_load", "number", None, 0, 100_000, means="Price of a load, way and fee."),
        Key("bins", "whole", 1, 1, 100, means="Wheeled bins of the client, of bags.bin_l each."),
        Key("bin_weeks", "whole", 2, 1, 26, means="Weeks from one emptying to the next."),
    ),
)
QUOTE = Key(
    "quote",
    "table",
    means="What the client is asked. Nothing of your cost, rate or mark-up is on it.",
    inside=(
        Key(
            "priced_at",
            "text",
            "most",
            words=("fewest", "middle", "most"),
            means="Where between fewest and most of a range the price is set.",
        ),
        Key("mark_up_pct", "number", 0.0, 0, 500, means="Added to every line; not shown."),
        Key("least_charge", "number", 0.0, 0, 1e6, means="The least asked, before tax."),
        Key("tax_pct", "number", None, 0, 100, means="0 says that no tax is added."),
        Key("tax_name", "text", "Tax", means="What the tax is called."),
        Key("valid_days", "whole", None, 1, 730, means="Days for which the price holds."),
        Key("exclusions", "names", (), means="What is not in the price."),
        Key("assumes", "names", (), means="What the price takes for granted."),
    ),
)

UNITS = Key(
    "units",
    "text",
    METRIC,
    words=SYSTEMS,
    means="Units in which people read the plan; what is typed and files for machines stay as they "
    "are.",
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
        means="When the blades go in; empty is whichever season comes first.",
    ),
    PROGRAMME,
    UNITS,
    Key("first_day", "day", means="First day on which work can begin."),
    Key("last_day", "day", means="Last day for the work; a year from the first when not set."),
    Key(
        "weekdays",
        "names",
        WEEKDAYS,
        means=f"Days of the week that are worked, of {', '.join(WEEKDAYS)}.",
    ),
    DOING,
    Key("machines", "names", (), means="Machines to hand, by name; empty means all there are."),
    BLADES,
    Key(
        "water_ban",
        "yes or no",
        default=False,
        means="Whether hoses are banned or the turf is thirsty: what that changes is said.",
    ),
    Key("contact", "text", "", means="Whom to ask: printed on what is handed over."),
    Key("keep_off", "text", "", means="Your own words about keeping off treated ground."),
    Key(
        "applied_by", "text", "", means="Who applies the products: printed on what is handed over."
    ),
    PRODUCTS,
    APPLICATOR,
    CREW,
    SEEDING,
    TOP_DRESSING,
    BAGS,
    WEIGHING,
    STRIPS,
    RATES,
    MONEY,
    DISPOSAL,
    QUOTE,
    PASS_LINES,
    BASEMAP,
)

# What a single zone may have otherwise, under [zones.ID].
ZONE = (
    TURF_TYPE,
    IRON,
    DOING,
    BLADES,
    Key("seeding", "table", inside=(SEEDING_WANTED,)),
    Key("pass_lines", "table", inside=DIRECTION),
    Key("leave", "yes or no", default=False, means="Leave the zone alone."),
    Key("reason", "text", "", means="Why the zone is treated otherwise, or left alone."),
)
