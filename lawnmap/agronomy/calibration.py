"""From a catch test to a rate on the ground."""

from __future__ import annotations


def _above_zero(**given: float) -> None:
    """Refuse zero, negative and not-a-number inputs by name."""
    for name, value in given.items():
        if not value > 0:
            raise ValueError(f"{name} must be above zero, not {value:g}")


def spray_volume(flow_l_min: float, speed_km_h: float, width_m: float) -> float:
    """Return the volume put on [l/ha] from flow, walking speed and spray width.

    Examples
    --------
    >>> spray_volume(24, 12, 12)
    100.0
    """
    _above_zero(flow_l_min=flow_l_min, speed_km_h=speed_km_h, width_m=width_m)
    return 600 * flow_l_min / (speed_km_h * width_m)


def flow_needed(volume_l_ha: float, speed_km_h: float, width_m: float) -> float:
    """Return the flow [l/min] that puts on `volume_l_ha`."""
    _above_zero(volume_l_ha=volume_l_ha, speed_km_h=speed_km_h, width_m=width_m)
    return volume_l_ha * speed_km_h * width_m / 600


def speed(seconds_for_100_m: float) -> float:
    """Return speed [km/h] from the time [s] over 100 m."""
    _above_zero(seconds_for_100_m=seconds_for_100_m)
    return 360 / seconds_for_100_m


def caught(amount: float, width_m: float, length_m: float) -> float:
    """Return the rate [amount/m²] from what was caught or used on a measured run."""
    _above_zero(width_m=width_m, length_m=length_m)
    return amount / (width_m * length_m)
