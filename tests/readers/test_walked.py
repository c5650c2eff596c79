"""Walks as receivers write them: pauses by their times, spikes, and rows of a table."""

from itertools import pairwise

import pytest

from lawnmap.errors import InputRefused
from lawnmap.files.admit import Source
from lawnmap.readers import csv_table, gpx, walked

METRE = 9e-6  # of latitude, nearly


def square(side=20):
    """Return a point a metre round a square, in metres."""
    corners = [(0, 0), (side, 0), (side, side), (0, side), (0, 0)]
    points = []
    for (x1, y1), (x2, y2) in pairwise(corners):
        points += [(x1 + (x2 - x1) * n / side, y1 + (y2 - y1) * n / side) for n in range(side)]
    return points


def stamp(second):
    return f"2027-03-01T09:{second // 60:02d}:{second % 60:02d}Z"


def track(points, times, name="Back lawn"):
    rows = "".join(
        f'<trkpt lat="{y * METRE:.8f}" lon="{x * METRE:.8f}">'
        + (f"<ele>80</ele><time>{time}</time>" if time else "")
        + "</trkpt>"
        for (x, y), time in zip(points, times, strict=True)
    )
    return f"<trk><name>{name}</name><trkseg>{rows}</trkseg></trk>"


def read(*tracks, layer=None):
    text = f'<gpx version="1.1">{"".join(tracks)}</gpx>'
    return gpx.read(Source("walk.gpx", text.encode(), "gpx"), layer=layer)


def paused_and_spiked():
    points = square()
    points[20:20] = [(20, 0.3), (19.6, 0), (20.2, 0.1)] * 10
    points[60] = (points[60][0] + 30, points[60][1])
    return points


def test_what_is_left_out_is_told():
    points = paused_and_spiked()
    found = read(track(points, map(stamp, range(len(points)))))
    (warning,) = found.warnings
    told = "30 points where the walker stood and 1 spike left out of 110 points."
    assert warning == f"track Back lawn: {told}"
    line = found.features[0].geometry["coordinates"]
    assert len(line) == 79
    assert line[0] == [0.0, 0.0]


def test_without_times_a_stay_is_not_known():
    points = paused_and_spiked()
    found = read(track(points, [""] * len(points)))
    assert len(found.warnings) == 1
    assert "1 spike left out of 110 points" in found.warnings[0]


@pytest.mark.parametrize("bad", ["yesterday", "2027-13-01T00:00:00Z", "2027-03-01T08:59:00Z"])
def test_bad_times_are_not_used_and_told(bad):
    points = square()
    times = [*map(stamp, range(len(points)))]
    times[40] = bad
    found = read(track(points, times))
    note = "Not used to find pauses, times that are none or that go back: track Back lawn."
    assert found.warnings == (note,)
    assert len(found.features[0].geometry["coordinates"]) == len(points)


@pytest.mark.parametrize(
    ("times", "expected"),
    [
        (["2027-03-01T09:00:00Z", "2027-03-01T09:00:02.5Z"], 2.5),
        (["2027-03-01T09:00:00+01:00", "2027-03-01T08:00:02Z"], 2.0),
        (["2027-03-01T09:00:00", "2027-03-01T09:00:02"], 2.0),
        ([3, 4.5], 1.5),
    ],
)
def test_times(times, expected):
    one, other = walked.seconds(times)
    assert other - one == expected


@pytest.mark.parametrize(
    "times", [["", "2027-03-01"], [None], [5, 4], ["9" * 50], ["0001-01-01T00:00:00+23:59"], [[]]]
)
def test_no_times(times):
    found = walked.seconds(times)
    assert found is None or times == ["0001-01-01T00:00:00+23:59"]


def test_a_route_is_left_as_it_was_planned():
    points = "".join(f'<rtept lat="{n * 1e-7}" lon="0"/>' for n in range(30))
    found = read(f"<rte><name>A</name>{points}</rte>")
    assert len(found.features[0].geometry["coordinates"]) == 30
    assert found.warnings == ()


def table(points, times):
    rows = "".join(
        f"Back lawn,{seq},{x * METRE:.8f},{y * METRE:.8f},{time}\n"
        for seq, ((x, y), time) in enumerate(zip(points, times, strict=True), 1)
    )
    return Source("walk.csv", f"name,seq,lon,lat,time\n{rows}".encode(), "csv")


def test_rows_with_times_are_a_walk():
    points = paused_and_spiked()
    by_rows = csv_table.read(table(points, map(stamp, range(len(points)))))
    by_track = read(track(points, map(stamp, range(len(points)))))
    (feature,) = by_rows.features
    assert feature.geometry == by_track.features[0].geometry
    assert feature.properties == {"name": "Back lawn", "outline_source": "gps"}
    assert by_rows.warnings == (
        'lines 2 to 111 "Back lawn": 30 points where the walker stood and 1 spike left out of '
        "110 points.",
    )


def test_rows_without_times_are_corners():
    found = csv_table.read(table(square(), [""] * 80))
    assert found.features[0].geometry["type"] == "Polygon"


def test_a_walk_of_rows_has_to_be_in_order():
    plan = table(square(), map(stamp, range(80)))
    shuffled = Source("walk.csv", plan.data.replace(b"lawn,7,", b"lawn,70,"), "csv")
    with pytest.raises(InputRefused, match="not in the order of 'seq'"):
        csv_table.read(shuffled)
