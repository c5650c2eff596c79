"""What each step is called and what its help says; HTML, in which line ends are blanks.

Plain facts, no part of the GIS.
"""

from __future__ import annotations

from typing import NamedTuple


class Words(NamedTuple):
    """Title, one line, help, and whether quantities are shown."""

    title: str
    short: str
    help: str
    quantities: bool = True


INPUTS = """
<p><b>Zones</b> is a layer of polygons, one row a zone. Where it has a column <i>feature</i>, the
rows with <i>zone</i> or nothing in it are the zones. An outline that crosses itself is refused and
named, never mended unasked: see the advanced inputs, which messages call <i>--repair</i> and
<i>--skip-bad</i>. The result keeps your own outline, and its area is that of the mended one. Curves
are handed over with straight sides, at most 1 mm from the curve.</p>
<p><b>Other features</b> are layers with a column <i>feature</i> that says what each row is: tree,
building, hedge, fence, paving, water, drain, hidden, supply, bed, access or core. Water that is
not given is not kept clear of.</p>
<p><b>Site folder</b> brings choices (country, crew, days, strips along water), records and features
of a lawnmap site. Without a layer of zones the step runs on that site as it is. Your layers and
files are not changed.</p>
"""
SAFETY = """
<p><b>Quantities are for planning.</b> The label of the product, and the law where you are, come
first. A distance to water that no label, law or site rule sets is shown as <i>not set: do not
apply</i>. Read the cautions in the log of the step before anything is bought or put down.</p>
"""
STEPS = {
    "measure": Words(
        "Measure zones",
        "The ground area of each zone: on the ellipsoid, less what lies in it, along the slope.",
        """
<p>Beds, buildings, paving, water and stems in a zone are taken out. Ground that two zones share is
counted once, in the upper one of the table. The standard error of each area comes from how the
outline was got.</p>
""",
        quantities=False,
    ),
    "assess": Words(
        "Assess from columns",
        "What your columns say of moss, thatch, light and ground, checked and judged.",
        """
<p>Choose the field of your layer for each fact. A field that has our name already is taken without
being chosen. A value that does not fit is refused with the zone and the column. The result has the
facts under our names, the class of moss and thatch, the causes that were found and what to do
about them. A measured value beats a rating.</p>
""",
        quantities=False,
    ),
    "sun": Words(
        "Hours of sun",
        "Hours of direct sun a day in every zone, under a clear sky.",
        """
<p>Trees, hedges, fences and buildings come from the layers of other features, each with its height
in a column <i>height_m</i>. Without days, the growing season is taken. The points are those on
which the sun was counted. Good to half an hour where heights were judged by eye.</p>
""",
        quantities=False,
    ),
    "plan": Words(
        "Plan the work",
        "Treatments, quantities, days and loads for every zone.",
        """
<p>Result: the zones with what was judged and chosen, and tables of the <i>steps</i>, zone by zone
with the sentence that says why, of the <i>totals</i> to buy and of the <i>loads</i> to mix. What
is done, closed or chosen is read from the site folder; label cards and machines from the
depot.</p>
""",
    ),
    "strips": Words(
        "Strips kept clear",
        "Strips along water, drains, paving and beds, and the ground that may be treated.",
        """
<p>Each kind of work has its own ground. Strips of label, law or site rule are <i>untreated</i>;
strips of workmanship are done by <i>hand</i>. Each strip says who set its width. Give every water
and drain on and around the site as a feature: what is not given is not kept clear of.</p>
""",
    ),
    "pass_lines": Words(
        "Pass lines",
        "Where each bout of a machine goes, with headlands, for guidance or along a string.",
        """
<p>The lines are those of the plan: width, overlap and heading of the machine that is chosen for
each zone. The table has a row for each zone, operation and pass, with hours, turns, and what is
left or gone over twice.</p>
<p><b>Before blades or tines go in</b>, walk the ground and ask about wires, pipes, cables and
covers: lines keep clear of what is mapped only. On slopes keep to the machine's own limit.</p>
""",
    ),
    "loads": Words(
        "Loads",
        "The ground that each tank, can or hopper covers, where to fill it, and what goes in.",
        """
<p>Loads lie along the pass lines in the order of the work. A product without a label card that
covers the use has no loads: its quantities are for pricing only. Taps are features of the kind
<i>supply</i>.</p>
""",
    ),
    "export_map": Words(
        "Export map",
        "The plan as one map file that opens on a phone or computer without a network.",
        """
<p>The file holds what its audience may see and nothing else: private notes stay out for all but
the owner. It shows where the site is. Open it from the results panel.</p>
""",
    ),
}
