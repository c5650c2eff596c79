"""Four lawns with days of work, of which a page shows the days: small enough to count by hand."""

import datetime as dt

import pandas as pd

from lawnmap import schema
from lawnmap.days import Dates
from lawnmap.model import Plan, Specification
from tests.exports.papers import IRON, SEED, grid, paper

NAMES = ["Front lawn", "Side lawn", "Verge", "Back lawn"]
NEW_GRASS = "Nobody on it until the new grass has been cut for the first time"
WET = "Keep people and animals off until the grass is dry"
VISITS = [dt.date(2027, 9, day) for day in (6, 7, 8, 9)] + [dt.date(2027, 10, 4)]
ROWS = [
    ("z0", 1, "mowing", "do", "2027-09-06", "", None, {}),
    ("z0", 2, "scarifying", "do", "2027-09-07", "2027-09-08", 2, {"machine": "petrol scarifier"}),
    ("z0", 3, "overseeding", "do", "2027-09-08", "", 1, {"kind": "seed", "product": SEED,
                                                        "keep_off": NEW_GRASS}),
    ("z0", 4, "first_cut", "do", "2027-10-04", "", 1, {}),
    ("z1", 1, "mowing", "do", "2027-09-06", "", 1, {}),
    ("z1", 2, "iron_soluble", "do", "2027-09-09", "", 1,
     {"kind": "spray", "product": IRON, "keep_off": WET, "gates": f"Leaf dry; {WET}"}),
    ("z2", 1, "leave it alone", "do", "", "", None, {}),
    ("z3", 1, "iron_soluble", "not set: do not apply", "", "", None,
     {"product": IRON, "flag": "Nobody has set the strip along the pond."}),
]  # fmt: skip
KEYS = ("zone_id", "sequence", "operation", "status", "day", "day_last", "days")


def steps(rows=ROWS):
    """Return the table of steps, with every column of the schema."""
    table = pd.DataFrame([dict(zip(KEYS, row[:7], strict=True)) | row[7] for row in rows])
    return table.reindex(columns=schema.names("steps"))


def dated(rows=ROWS, visits=VISITS, names=NAMES, zones=(), choices=(), **changes):
    """Return a paper of lawns in a row, with these steps and days of work.

    `zones` is more of the table of zones by column, `choices` more of the specification.
    """
    given = paper(list(names), shapes=grid(len(names)), features=False, **changes)
    plan = given.plan
    verdicts = ["renovate", "light work", "leave it alone", "renovate"]
    rules = ["renovate", "light_work", "leave_by_choice", "renovate"]
    table = plan.zones.assign(
        verdict=verdicts[: len(names)], verdict_rule=rules[: len(names)], **dict(zones)
    )
    found = {
        "zones": table,
        "steps": steps(rows),
        "dates": Dates(tuple(visits)),
        "specification": Specification({**plan.specification.choices, **dict(choices)}),
    }
    return given.of(plan=Plan(**{**vars(plan), **found}))
