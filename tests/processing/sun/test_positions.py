"""The sun's place against published tables; see geo.md 5.1 to 5.3 for how each was read."""

import datetime as dt
import sys

import numpy as np
import pytest

from lawnmap.errors import ExtraNeeded
from lawnmap.processing.sun import positions
from lawnmap.processing.sun.positions import sky, sun_at

GOLDEN = (-105.1786, 39.742476)
# Reda and Andreas, NREL/TP-560-34302, table A5.1: 2003-10-17 12:30:30 at UTC-7, and the next day.
AIR = {
    "altitude": 1830.14, "pressure": 82000, "temperature": 11, "delta_t": 67,
    "atmos_refract": 0.5667,
}  # fmt: skip
# The azimuth of the next day is quoted at second hand, and 4e-5° off.
NREL = [
    ("2003-10-17", 50.111622024, 194.340240510, 1e-5),
    ("2003-10-18", 50.478260, 194.311132, 1e-4),
]
# geo.md 5.3, derived with another reading of SPA: latitude, longitude, then altitude at noon and
# the day's length at the equinox, midsummer and midwinter.
NOON = [
    (51.0, 0.0, (38.98, 62.45, 15.62), (12.17, 16.55, 7.91)),
    (52.0, 0.0, (37.98, 61.45, 14.62), (12.17, 16.74, 7.74)),
    (53.8, -1.55, (36.18, 59.65, 12.83), (12.18, 17.10, 7.41)),
    (56.0, -3.2, (33.98, 57.45, 10.65), (12.19, 17.62, 6.95)),
]
DAYS = [dt.date(2026, 3, 20), dt.date(2026, 6, 21), dt.date(2026, 12, 21)]
UPPER_LIMB = -0.2667  # apparent elevation of the middle when the upper edge is on the horizon [°]


def seconds(text, offset_h=0):
    return dt.datetime.fromisoformat(text).replace(tzinfo=dt.UTC).timestamp() - 3600 * offset_h


def up(day, longitude, latitude):
    """Return the first and last second of a solar day with the sun's upper edge up."""
    noon = dt.datetime.combine(day, dt.time(12), dt.UTC).timestamp() - longitude / 15 * 3600
    times = noon + np.arange(-43200.0, 43200.0, 10.0)
    _, elevation = sun_at(times, longitude, latitude)
    light = times[elevation > UPPER_LIMB]
    return light[0], light[-1]


@pytest.mark.parametrize(("day", "zenith", "azimuth", "within"), NREL)
def test_nrel_worked_example(day, zenith, azimuth, within):
    found, elevation = sun_at(np.array([seconds(f"{day}T12:30:30", -7)]), *GOLDEN, **AIR)
    assert 90 - elevation[0] == pytest.approx(zenith, abs=1e-5)
    assert found[0] == pytest.approx(azimuth, abs=within)


@pytest.mark.parametrize(
    ("place", "offset", "rise", "set_"),
    [  # pvlib's own tests quote NREL and USNO: Golden in MST, and 35° S 0° E in UTC. The sunset
        # printed with 2 August is that of its day in UTC, the evening of 1 August in Golden.
        (GOLDEN, -7, "2015-01-02T07:21:55", "2015-01-02T16:47:43"),
        (GOLDEN, -7, "2015-08-02T05:00:27", "2015-08-01T19:13:58"),
        ((0.0, -35.0), 0, "1996-07-05T07:08:15", "1996-07-05T17:01:04"),
        ((0.0, -35.0), 0, "2004-12-04T04:38:57", "2004-12-04T19:02:03"),
    ],
)
def test_sunrise_and_sunset(place, offset, rise, set_):
    morning, evening = (dt.date.fromisoformat(each[:10]) for each in (rise, set_))
    assert up(morning, *place)[0] == pytest.approx(seconds(rise, offset), abs=15)
    assert up(evening, *place)[1] == pytest.approx(seconds(set_, offset), abs=15)


@pytest.mark.parametrize(("latitude", "longitude", "altitudes", "lengths"), NOON)
def test_noon_altitude_and_length_of_day(latitude, longitude, altitudes, lengths):
    for day, altitude, length in zip(DAYS, altitudes, lengths, strict=True):
        way = sky(longitude, latitude, day, day)
        highest = way.elevation_deg.argmax()
        assert way.elevation_deg[highest] == pytest.approx(altitude, abs=0.05)
        assert way.azimuth_deg[highest] == pytest.approx(180, abs=1)
        first, last = up(day, longitude, latitude)
        assert (last - first) / 3600 == pytest.approx(length, abs=0.02)


def test_a_day_is_a_solar_day_wherever_it_is():
    for longitude in (-179.9, -75.0, 0.0, 151.2, 179.9):
        way = sky(longitude, 0.0, dt.date(2026, 3, 20), dt.date(2026, 3, 21))
        assert way.open_h == pytest.approx(12.05, abs=0.05)
        assert np.bincount(way.day).tolist() == pytest.approx([723, 723], abs=3)


def test_the_sun_stands_north_at_noon_in_the_south():
    way = sky(151.2, -33.9, dt.date(2026, 6, 21), dt.date(2026, 6, 21))
    north = way.azimuth_deg[way.elevation_deg.argmax()]
    assert min(north, 360 - north) < 1


def test_steps_are_a_minute_for_few_days_and_five_for_more():
    first = dt.date(2026, 5, 1)
    assert sky(0, 50, first, first + dt.timedelta(days=13)).step_h == pytest.approx(1 / 60)
    assert sky(0, 50, first, first + dt.timedelta(days=14)).step_h == pytest.approx(5 / 60)
    day = sky(0, 50, first, first)
    assert day.open_h == len(day.day) * day.step_h


def test_without_the_package_it_says_what_to_install(monkeypatch):
    monkeypatch.setitem(sys.modules, "pvlib", None)
    with pytest.raises(ExtraNeeded) as caught:
        positions.sky(0, 50, DAYS[0], DAYS[0])
    assert "lawnmap[sun]" in str(caught.value)
