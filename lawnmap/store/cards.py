"""The keys of a label card and of a machine, and what must hold between them.

Ranges refuse a slip of the decimal point; they are chosen, not published, and no rate follows from
them.
"""

from __future__ import annotations

from typing import Any

from lawnmap.errors import InputRefused
from lawnmap.model import Machine, Product
from lawnmap.store.keys import Key

FORMS = ("liquid", "soluble", "lawn sand", "granule", "seed", "feed", "dressing")
SALTS = ("Fe", "FeSO4", "FeSO4·H2O", "FeSO4·7H2O")
TYPED = {salt.replace("·", "."): salt for salt in SALTS}  # the raised dot is not on a keyboard
TO_SMALL = {"g": ("g", 1.0), "kg": ("g", 1000.0), "ml": ("ml", 1.0), "l": ("ml", 1000.0)}
MACHINE_KINDS = (
    "rake", "electric", "battery", "petrol", "tractor", "mower", "corer", "can", "knapsack",
    "boom", "spreader",
)  # fmt: skip
WHOLE_PCT = 100

NAME = Key("name", "text", pattern=r"\S(.{0,198}\S)?", example="Moss iron 5", needed=True)

PACK = (
    Key("size", "number", low=0.001, high=1e6, needed=True),
    Key("unit", "text", words=tuple(TO_SMALL), needed=True),
    Key("price", "number", low=0, high=1e6),
)

PRODUCT = (
    NAME,
    Key("form", "text", words=FORMS, needed=True),
    Key("authorised_for_moss", "yes or no", default=False),
    Key("authorisation_no", "text", ""),
    Key("country", "text", "", pattern="([A-Z]{2})?", example="GB"),
    Key("use_by", "day"),
    Key("user", "text", "", words=("", "home", "professional")),
    Key("analysis_pct", "number", low=0.001, high=1500),
    Key("analysis_as", "text", "", words=("", *SALTS, *TYPED)),
    Key("analysis_basis", "text", "", words=("", "w/w", "w/v", "g/l")),
    Key("density_kg_l", "number", low=0.7, high=2),
    Key("bulk_kg_l", "number", low=0.05, high=3),
    Key("nitrogen_pct", "number", low=0, high=50),
    Key("rate_printed", "text", ""),
    Key("rate_typed_again", "text", ""),
    Key("rate_g_m2", "number", low=0.001, high=10_000),
    Key("rate_ml_m2", "number", low=0.001, high=1_000),
    Key("water_l_m2", "number", low=0, high=20),
    Key("water_low_l_m2", "number", low=0, high=20),
    Key("water_high_l_m2", "number", low=0, high=20),
    Key("most_doses_a_year", "whole", low=1, high=52),
    Key("least_days_between", "whole", low=0, high=730),
    Key("iron_to_rake_days", "whole", low=0, high=730),
    Key("iron_to_seed_days", "whole", low=0, high=730),
    Key("seed_to_iron_days", "whole", low=0, high=730),
    Key("rainfast_h", "number", low=0, high=168),
    Key("keep_off", "text", ""),
    Key("untreated_strip_m", "number", low=0, high=200),
    Key("applicators", "names", ()),
    Key("purity_pct", "number", low=1, high=100),
    Key("germination_pct", "number", low=1, high=100),
    Key("packs", "tables", (), inside=PACK),
    Key("stock", "number", 0.0, 0, 1e9),
    Key("cautions", "names", ()),
)

MACHINE = (
    NAME,
    Key("kind", "text", words=MACHINE_KINDS, needed=True),
    Key("width_m", "number", low=0.05, high=20),
    Key("overall_width_m", "number", low=0.05, high=20),
    Key("speed_km_h", "number", low=0.1, high=20),
    Key("field_efficiency", "number", low=0.1, high=1),
    Key("box_l", "number", low=0.5, high=20_000),
    Key("hopper_kg", "number", low=0.5, high=5_000),
    Key("tank_l", "number", low=0.5, high=5_000),
    Key("water_l_m2", "number", low=0, high=20),
    Key("area_m2_h", "number", low=1, high=200_000),
    Key("hire_a_day", "number", low=0, high=100_000),
    Key("weight_kg", "number", low=0.1, high=20_000),
    Key("most_slope_deg", "number", low=0, high=60),
    Key("vibration_m_s2", "number", low=0.1, high=50),
    Key("yield_share", "number", low=0.05, high=3),
    Key("hire_least_days", "whole", low=1, high=31),
    Key("hire_delivery", "number", low=0, high=100_000),
    Key("count", "whole", 1, 1, 100),
    Key("hours_a_day", "number", low=0.5, high=24),
    Key("available_from", "day"),
    Key("available_until", "day"),
)


def product(values: dict[str, Any]) -> Product:
    """Return a label card from its checked keys.

    Raises
    ------
    InputRefused
        With the key that does not go with the others.
    """
    _check_analysis(values)
    if values["rate_g_m2"] is not None and values["rate_ml_m2"] is not None:
        raise InputRefused(
            "stands beside rate_g_m2", place="rate_ml_m2", remedy="Give one rate, as printed."
        )
    low, high = values["water_low_l_m2"], values["water_high_l_m2"]
    if low is not None and high is not None and low > high:
        raise InputRefused("is above water_high_l_m2", place="water_low_l_m2", remedy="Swap them.")
    return Product(
        **{
            **values,
            "analysis_as": TYPED.get(values["analysis_as"], values["analysis_as"]),
            "applicators": tuple(values["applicators"]),
            "cautions": tuple(values["cautions"]),
            "packs": tuple(_pack(pack) for pack in values["packs"]),
        }
    )


def machine(values: dict[str, Any]) -> Machine:
    """Return a machine from its checked keys."""
    width, overall = values["width_m"], values["overall_width_m"]
    if width is not None and overall is not None and overall < width:
        raise InputRefused(
            "is less than width_m",
            place="overall_width_m",
            remedy="Give the width of the whole machine.",
        )
    first, last = values["available_from"], values["available_until"]
    if first is not None and last is not None and last < first:
        raise InputRefused(
            "is before available_from", place="available_until", remedy="Swap the two days."
        )
    return Machine(**values)


def _check_analysis(values: dict[str, Any]) -> None:
    """Check that the analysis says of what and in what; a percentage alone says neither."""
    share, basis = values["analysis_pct"], values["analysis_basis"]
    if share is None:
        return
    for key in ("analysis_as", "analysis_basis"):
        if not values[key]:
            raise InputRefused(
                "is missing beside analysis_pct",
                place=key,
                remedy="Copy from the label what the figure is of, and whether w/w, w/v or g/l.",
            )
    if basis != "g/l" and share > WHOLE_PCT:
        raise InputRefused(
            f"{share:g} is more than 100 %", place="analysis_pct", remedy="Copy it again."
        )
    if values["form"] == "liquid" and basis == "w/w" and values["density_kg_l"] is None:
        raise InputRefused(
            "is missing: w/w of a liquid says nothing of a litre without it",
            place="density_kg_l",
            remedy="Copy it from the label or the safety data sheet.",
        )


def _pack(pack: dict[str, Any]) -> tuple[float, str, float | None]:
    unit, times = TO_SMALL[pack["unit"]]
    return pack["size"] * times, unit, pack["price"]
