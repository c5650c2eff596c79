"""The step ``calibrating``: from what was measured in a catch test to what to set, in words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from lawnmap.agronomy import calibration, mixing
from lawnmap.agronomy.catching import off_mean, setting_for, spread_width
from lawnmap.errors import InputRefused
from lawnmap.processing.calibration import catch_form
from lawnmap.processing.calibration.catch_form import FORMS
from lawnmap.reference import tables
from lawnmap.reference.tables import shown

NAN = float("nan")
M2_HA = 10_000
PEG_M = 2.0  # width of the patch that is pegged out for one can
CLOSE = 1e-9


@dataclass(frozen=True)
class Calibrated:
    """What an applicator puts on, and what to do about it.

    Attributes
    ----------
    kind : str
        One of FORMS.
    water_l_m2, rate_g_m2 : float
        Of the two the one that this kind puts on; the other is NaN.
    wanted : float
        In the same unit; NaN when nothing was wanted.
    width_m, speed_km_h, flow_l_min : float
        NaN where not measured.
    said : tuple of str
        Whole sentences: what was found, and what to set.
    """

    kind: str
    water_l_m2: float = NAN
    rate_g_m2: float = NAN
    wanted: float = NAN
    width_m: float = NAN
    speed_km_h: float = NAN
    flow_l_min: float = NAN
    said: tuple[str, ...] = ()

    @property
    def rate(self) -> float:
        """What it puts on, in its own unit."""
        return self.rate_g_m2 if FORMS[self.kind].wanted == "rate" else self.water_l_m2

    @property
    def good(self) -> bool | None:
        """Whether it is near enough to what was wanted; None when nothing was wanted."""
        if not self.wanted > 0:
            return None
        off = tables.value("rate_off_share").number
        return abs(self.rate / self.wanted - 1) <= off + CLOSE


def calibrated(
    kind: str, given: Mapping[str, str], *, tried: Iterable[tuple[float, float]] = ()
) -> Calibrated:
    """Return what an applicator puts on and what to set.

    Parameters
    ----------
    kind : str
        knapsack, sprayer, can, drop or rotary.
    given : mapping of str to str
        Measurements with their units: see :func:`lawnmap.processing.calibration.catch_form.values`.
    tried : iterable of (setting, rate)
        Settings of a spreader with the rates found at them [g/m²], this one last.

    Raises
    ------
    InputRefused
        For another kind, a measurement that is missing, strange or without its unit.
    """
    values = catch_form.values(kind, given)
    try:
        found = _sprayer(values) if kind == "sprayer" else _on_area(kind, values)
    except ValueError as error:
        if isinstance(error, InputRefused):
            raise
        raise InputRefused(str(error), place=kind, remedy="Measure it again.") from error
    found = replace(found, wanted=values.get("wanted", [NAN])[0])
    return replace(found, said=(*found.said, *_what_to_set(found, values, tried)))


def _on_area(kind: str, values: Mapping[str, list[float]]) -> Calibrated:
    """Return the rate of what was caught, or used up, on a measured strip."""
    (length,) = values["length"]
    width = _width(kind, values)
    rate = calibration.caught(sum(values["caught"]), width, length)
    said = [f"It puts on {_rate(kind, rate)}."]
    if "trays" in values:
        said.insert(0, f"Walk lines {shown(width)} m apart.")
    speed = calibration.speed(values["time"][0] * 100 / length) if "time" in values else NAN
    if FORMS[kind].wanted == "rate":
        return Calibrated(kind, rate_g_m2=rate, width_m=width, said=tuple(said))
    return Calibrated(kind, water_l_m2=rate, width_m=width, speed_km_h=speed, said=tuple(said))


def _width(kind: str, values: Mapping[str, list[float]]) -> float:
    if "width" in values:
        return values["width"][0]
    if "trays" not in values or "spacing" not in values:
        raise InputRefused(
            f"the width is missing for a {kind} spreader",
            remedy="Give width, or trays from left to right and their spacing.",
        )
    return spread_width(
        values["trays"], values["spacing"][0], tables.value("spread_end_share").number
    )


def _sprayer(values: Mapping[str, list[float]]) -> Calibrated:
    (width,), (time,) = values["width"], values["time"]
    flow = sum(values["caught"]) / time * 60
    if "speed" in values:
        (speed,) = values["speed"]
    elif "distance" in values and "walked" in values:
        speed = calibration.speed(values["walked"][0] * 100 / values["distance"][0])
    else:
        raise InputRefused(
            "the speed is missing for a sprayer",
            remedy="Give speed, or a distance and the time in which it was walked.",
        )
    rate = calibration.spray_volume(flow, speed, width) / M2_HA
    limit = tables.value("nozzle_off_share").number
    said = [f"It puts on {_rate('sprayer', rate)}."] + [
        f"Nozzle {number} gives {_off(off)} than the mean: "
        "clean it, and replace it when that does not help."
        for number, off in enumerate(off_mean(values["caught"]), start=1)
        if abs(off) > limit + CLOSE
    ]
    return Calibrated(
        "sprayer", water_l_m2=rate, width_m=width, speed_km_h=speed, flow_l_min=flow,
        said=tuple(said),
    )  # fmt: skip


def _what_to_set(
    found: Calibrated, values: Mapping[str, list[float]], tried: Iterable[tuple[float, float]]
) -> list[str]:
    said = []
    if found.good:
        said.append(f"That is near enough to {_rate(found.kind, found.wanted)}: leave it so.")
    elif found.good is False:
        off = found.rate / found.wanted - 1
        said.append(
            f"That is {_off(off)} than {_rate(found.kind, found.wanted)}. "
            f"{_change(found, values, tried, more=off > 0)}"
        )
    if "tank" in values:
        (tank,) = values["tank"]
        load = mixing.container_load(tank, 0.0, found.water_l_m2)
        said.append(f"A full {shown(tank)} l does {shown(load.area_m2)} m².")
    return said


def _change(
    found: Calibrated,
    values: Mapping[str, list[float]],
    tried: Iterable[tuple[float, float]],
    *,
    more: bool,
) -> str:
    """Return what to change so that it comes to what was wanted."""
    if FORMS[found.kind].wanted == "rate":
        setting = setting_for(tried, found.wanted)
        if setting is not None:
            return f"Try setting {shown(setting)}, between two that were tried, and catch again."
        return f"{'Close' if more else 'Open'} it a little and catch again."
    if found.kind == "can":
        (can,) = values.get("tank", values["caught"])
        width, length = mixing.pegged(can / found.wanted, PEG_M)
        return f"Peg out {width:g} × {shown(length)} m for one can of {shown(can)} l."
    if not found.speed_km_h > 0:
        return f"Walk {shown(found.rate / found.wanted)} times as fast and measure again."
    speed = found.speed_km_h * found.rate / found.wanted
    walk = (
        f"Walk at {shown(speed)} km/h (100 m in {360 / speed:.0f} s) instead of "
        f"{shown(found.speed_km_h)} km/h"
    )
    if found.kind != "sprayer":
        return f"{walk}, and measure again."
    flow = calibration.flow_needed(found.wanted * M2_HA, found.speed_km_h, found.width_m)
    each = flow / len(values["caught"])
    return f"{walk}, or set the pressure so that each nozzle gives {shown(each)} l/min."


def _rate(kind: str, rate: float) -> str:
    if FORMS[kind].wanted == "rate":
        return f"{shown(rate)} g/m²"
    return f"{shown(rate)} l/m² ({shown(rate * M2_HA)} l/ha)"


def _off(share: float) -> str:
    return f"{100 * abs(share):.0f} % {'more' if share > 0 else 'less'}"
