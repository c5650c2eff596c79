"""The job ``calibrate``: what an applicator really puts on, kept in the depot as a fact."""

from __future__ import annotations

import contextlib
import datetime as dt
import math
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from lawnmap.agronomy.field_units import measured
from lawnmap.errors import InputRefused
from lawnmap.files.numbers import number
from lawnmap.processing.calibration import calibrating
from lawnmap.processing.calibration.calibrating import Calibrated
from lawnmap.processing.machines import generic
from lawnmap.store import calibrations
from lawnmap.store import depot as depots
from lawnmap.store.calibrations import Row

LONGEST = 200
MOST_L_M2, MOST_G_M2 = calibrations.MOST_WATER, calibrations.MOST_RATE
SPRAYERS = ("can", "knapsack", "boom")


@dataclass(frozen=True)
class Setup:
    """With what and by whom it was calibrated; what is empty was not told.

    `setting` is what the dial of a spreader stood at, `pressure` has its unit: ``2 bar``.
    """

    applicator: str
    operator: str = ""
    nozzle: str = ""
    pressure: str = ""
    setting: str = ""
    product: str = ""


@dataclass(frozen=True)
class CalibrateReply:
    """What was found, the row that says so, and the file it was added to (None: not saved)."""

    found: Calibrated
    row: Row
    saved: Path | None
    warnings: tuple[str, ...] = ()


def calibrate(
    kind: str,
    given: Mapping[str, str],
    setup: Setup,
    *,
    depot: Path | None,
    day: dt.date,
    dry_run: bool = False,
) -> CalibrateReply:
    """Work out what an applicator puts on, and add it to the depot's ``calibration.csv``.

    Parameters
    ----------
    kind : str
        knapsack, sprayer, can, drop or rotary.
    given : mapping of str to str
        Measurements with their units: see :func:`lawnmap.processing.calibration.catch_form.values`.
    setup : Setup
    depot : Path or None
        The depot's folder: see :func:`where`.
    day : date
        When it was measured.
    dry_run : bool
        Work it out and save nothing; then no depot is needed.

    Returns
    -------
    CalibrateReply

    Raises
    ------
    InputRefused
        For measurements that do not do, an applicator without a name, or no depot to save in.
    """
    _check(setup)
    pressure = _pressure(setup)
    there = calibrations.read(depot)
    first = calibrating.calibrated(kind, given)
    tried = [*_tried(there, setup), *_settings(setup.setting, first.rate_g_m2)]
    found = calibrating.calibrated(kind, given, tried=tried)
    _check_rate(found)
    row = _row(found, given, setup, day, pressure)
    if dry_run:
        return CalibrateReply(found, row, None)
    if depot is None:
        raise InputRefused(
            "there is no depot to keep the calibration in",
            remedy="Name a folder with --depot, or only look with --dry-run.",
        )
    warnings = (*calibrations.append(depot, row), *_unknown(depot, found, row["applicator"]))
    return CalibrateReply(found, row, depot / calibrations.NAME, warnings)


def where(here: Path, *, given: Path | None, personal: Path) -> Path | None:
    """Return the depot for a folder or site, None when there is none."""
    return depots.find(here, given=given, personal=personal)


def _check(setup: Setup) -> None:
    if not setup.applicator.strip():
        raise InputRefused(
            "the applicator has no name", remedy="Name it as in machines.toml: --applicator."
        )
    for name, text in vars(setup).items():
        if len(text) > LONGEST or not text.isprintable():
            raise InputRefused("is too long or not printable", place=name, remedy="Shorten it.")


def _check_rate(found: Calibrated) -> None:
    """Refuse what no applicator puts on: a slip of the decimal point, or a wrong unit."""
    most, unit = (MOST_G_M2, "g/m²") if math.isnan(found.water_l_m2) else (MOST_L_M2, "l/m²")
    if found.rate > most:
        raise InputRefused(
            f"{found.rate:.4g} {unit} is more than any applicator puts on",
            place=found.kind,
            remedy="Look at the numbers and their units.",
        )


def _unknown(depot: Path, found: Calibrated, applicator: str) -> tuple[str, ...]:
    """Return a warning when no plan can use this; the cards themselves are not judged here."""
    with contextlib.suppress(InputRefused):
        known = depots.read(depot, machines=generic()).machines
        if not math.isnan(found.water_l_m2) and applicator.casefold() not in {
            name.casefold() for name in known
        }:
            sprayers = [f"'{each.name}'" for each in known.values() if each.kind in SPRAYERS]
            there = f" Those that spray are: {', '.join(sprayers)}." if sprayers else ""
            return (
                f"No plan uses this yet: there is no machine called '{applicator}' in "
                f"{depots.MACHINES}.{there}",
            )
    return ()


def _tried(rows: tuple[Row, ...], setup: Setup) -> list[tuple[float, float]]:
    """Return settings and rates found before with this spreader and product."""
    return [
        pair
        for row in rows
        if row.get("applicator", "").casefold() == setup.applicator.strip().casefold()
        and row.get("product", "").casefold() == setup.product.strip().casefold()
        for pair in _settings(row.get("setting", ""), row.get("rate_g_m2", ""))
    ]


def _settings(setting: str, rate: str | float) -> list[tuple[float, float]]:
    """Return a setting that is a number with its rate; a letter cannot be taken in proportion."""
    try:
        pair = number(setting), number(rate) if isinstance(rate, str) else rate
    except ValueError:
        return []
    return [pair] if pair[1] > 0 else []


def _pressure(setup: Setup) -> float:
    if not setup.pressure:
        return math.nan
    try:
        return measured(setup.pressure, "pressure")
    except InputRefused as error:
        raise error.within(place="pressure") from error.__cause__


def _row(
    found: Calibrated, given: Mapping[str, str], setup: Setup, day: dt.date, pressure: float
) -> Row:
    numbers = {
        "water_l_m2": found.water_l_m2,
        "rate_g_m2": found.rate_g_m2,
        "width_m": found.width_m,
        "speed_km_h": found.speed_km_h,
        "flow_l_min": found.flow_l_min,
        "pressure_bar": pressure,
    }
    return {
        "date": day.isoformat(),
        "operator": setup.operator.strip(),
        "applicator": setup.applicator.strip(),
        "kind": found.kind,
        "nozzle": setup.nozzle.strip(),
        "setting": setup.setting.strip(),
        "product": setup.product.strip(),
        "measured": ", ".join(f"{name} {' '.join(text.split())}" for name, text in given.items()),
        **{name: "" if math.isnan(value) else f"{value:.6g}" for name, value in numbers.items()},
    }
