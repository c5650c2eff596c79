"""folium's part of the page: no outside address, no chance, nobody's data."""

import folium

from lawnmap.exports.map.chart import chart


def test_it_is_the_same_each_time_and_calls_nobody():
    first = chart(flat=False, canvas=False)
    assert first == chart(flat=False, canvas=False)
    assert "http" not in first
    assert "style=" not in first
    assert first.count("<script>") == 1


def test_it_says_what_was_asked_for():
    assert "L.CRS.EPSG3857" in chart(flat=False, canvas=False)
    flat = chart(flat=True, canvas=True)
    assert "L.CRS.Simple" in flat
    assert '"preferCanvas": true' in flat
    assert "tile" not in flat


def test_other_maps_of_the_process_keep_their_links():
    chart(flat=False, canvas=False)
    assert any("leaflet" in name for name, _ in folium.Map.default_js)
