"""The frame of the map from folium, as one string that holds no word and no figure of anybody's.

branca compiles what it renders as a template a second time, so nothing but our own constants may
come near it: the zones reach the page by another way, as one JSON block. The same string could be
written by hand, and the rest of the page would not notice.
"""

from __future__ import annotations

import folium
from branca.element import Figure

from lawnmap.pages.escape import Html

NAME = "lawnmap"  # folium calls the element and the script's variable map_lawnmap


class Frame(folium.Map):
    """A folium map without outside scripts, styles and tiles, and without chance in its names."""

    default_js = []  # noqa: RUF012 - as the class it refines has it
    default_css = []  # noqa: RUF012

    @classmethod
    def _generate_id(cls) -> str:
        return NAME


def chart(*, flat: bool, canvas: bool) -> Html:
    """Return the map's element and the script that makes it, the same each time.

    Parameters
    ----------
    flat : bool
        Whether the map is in metres instead of on the earth.
    canvas : bool
        Whether shapes are painted instead of being elements, as on a long page.
    """
    frame = Frame(
        tiles=None,
        crs="Simple" if flat else "EPSG3857",
        zoom_control=False,
        prefer_canvas=canvas,
        attribution_control=False,
        zoom_snap=0.25,
    )
    figure = frame.get_root()
    if not isinstance(figure, Figure):
        raise TypeError("folium's map stands in no figure")
    figure.render()
    element, script = figure.html.render(), figure.script.render()
    return Html(f"{element.strip()}\n<script>\n{script.strip()}\n</script>")
