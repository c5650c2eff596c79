"""Whatever a person types comes out of every export as it was typed, and does nothing.

Each export is made twice: of plain words, which tells what it shows, and of hostile ones, of which
it has to show the same. An export that is new is tested as soon as it is registered.
"""

from dataclasses import replace

import pytest

from lawnmap import plugins
from lawnmap.exports.pdf.twin import twin
from tests.exports.names import HOSTILE
from tests.exports.papers import FACTS, dated, grid, paper
from tests.exports.read_back import standing

EXPORTS = sorted(plugins.available("exports"))
PAGES = [each for each in EXPORTS if plugins.load("exports", each).SUFFIX == ".html"]
TWINS = [each for each in PAGES if getattr(plugins.load("exports", each), "TWIN", True)]
PLAIN = ["Plain"] * len(HOSTILE)
# What is bought or paid for is the same in every zone; iron is told of where there is a product.
NAMELESS = {"shopping", "quote", "environment"}
PLACES = (
    "name", "title", "contact", "off", "note", "client", "product", "machine", "remark", "flag",
    "until", "total", "caution",
)  # fmt: skip
# All of them are laid out on paper by the test of the twins; here those that differ most, for each
# paper. One that turns the reading direction turns those behind it in the same sentence.
ON_PAPER = [HOSTILE[each] for each in (0, 2, 6, 19, 15, 16, 17)]
TOGETHER = ("title", "contact", "off")
TURNED = range(4, len(ON_PAPER))


def said(words, place):
    """Return each word with what tells it from the same word elsewhere.

    A list in a cell is parted by semicolons, so a word of one has none.
    """
    made = [f"{word} {place}{number};" for number, word in enumerate(words)]
    return [each.replace(";", "+") for each in made] if place == "until" else made


def saying(words):
    """Return a paper that has each word as a zone's name and in every other place for words."""
    of = {place: said(words, place) for place in PLACES}
    count, shapes = len(words), grid(len(words))
    with pytest.MonkeyPatch.context() as patch:  # there is work to do in every zone
        patch.setitem(FACTS, "verdict", ["renovate"] * 12)
        patch.setitem(FACTS, "water_strip_from", [None] * 12)
        title = " | ".join(of["title"])
        made = dated(paper(of["name"], shapes=shapes, title=title, audience="owner"))
    plan = made.plan
    zones = plan.zones.assign(public_note=of["note"], client_number=of["client"])
    number = plan.steps["zone_id"].str.removeprefix("z").astype(int)
    cells = {name: [of[name][each] for each in number] for name in ("product", "machine")}
    more = {name: [of[name][each] for each in number] for name in ("remark", "flag")}
    until = [of["until"][each] for each in number]
    totals = plan.totals.iloc[[0] * count].reset_index(drop=True)
    choices = {
        name: " | ".join(of[place]) for name, place in (("contact", "contact"), ("keep_off", "off"))
    }
    choices = {**plan.specification.choices, **choices}
    return made.of(
        plan=replace(
            plan,
            zones=zones,
            steps=plan.steps.assign(**cells, **more, keep_off=until),
            totals=totals.assign(product=of["total"]),
            cautions=tuple(of["caution"]),
            specification=replace(plan.specification, choices=choices),
        )
    )


@pytest.fixture(scope="module")
def plain():
    return saying(PLAIN)


@pytest.fixture(scope="module")
def hostile():
    return saying(HOSTILE)


def shown(words, suffix, data):
    """Return what stands in a file, by place and number."""
    return standing(suffix, data, {place: said(words, place) for place in PLACES})


@pytest.mark.parametrize("name", EXPORTS)
def test_every_export_says_it_as_it_was_typed(name, plain, hostile):
    export = plugins.load("exports", name)
    usual = shown(PLAIN, export.SUFFIX, export.render(plain))
    assert usual - shown(HOSTILE, export.SUFFIX, export.render(hostile)) == set()
    assert len({number for _, number in usual}) == len(HOSTILE)
    if name not in NAMELESS:
        assert {("name", number) for number in range(len(HOSTILE))} <= usual


@pytest.fixture(scope="module")
def on_paper():
    return [saying(words) for words in (["Plain"] * len(ON_PAPER), ON_PAPER)]


@pytest.mark.parametrize("name", TWINS)
def test_every_pdf_says_it_as_it_was_typed(name, on_paper):
    export = plugins.load("exports", name)
    plain, hostile = (twin(export.render(made), made=made.plan.today) for made in on_paper)
    usual = shown(["Plain"] * len(ON_PAPER), ".pdf", plain)
    missing = usual - shown(ON_PAPER, ".pdf", hostile)
    turned = {(place, number) for place in TOGETHER for number in TURNED}
    assert len({number for _, number in usual}) == len(ON_PAPER)
    assert missing <= turned


@pytest.mark.browser
def test_no_page_does_anything_of_what_was_typed(opened, hostile, figure):
    did = 0
    for name in PAGES:
        seen = opened(plugins.load("exports", name).render(hostile))
        page = seen.page
        assert (
            page.evaluate("document.querySelectorAll('img[src=x], [onload], [onerror]').length")
            == 0
        )
        assert page.evaluate("({}).polluted") is None
        assert "onerror=alert(1)" in page.evaluate("document.body.textContent"), name
        assert (len(seen.requests), seen.console, seen.dialogs) == (1, [], []), name
        did += len(seen.requests) - 1 + len(seen.console) + len(seen.dialogs)
        page.close()
    figure(19, f"{len(PAGES)} kinds of page: {did} requests, console lines and dialogs")
