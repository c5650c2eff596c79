"""A page read back: nothing lost, nothing that is for the screen only."""

import pytest

from lawnmap.exports.pdf.tree import Element, on_paper, read, without
from lawnmap.pages.escape import tag
from tests.exports.names import HOSTILE
from tests.exports.pdf.pages import page


@pytest.mark.parametrize("name", HOSTILE)
def test_what_was_escaped_comes_back_as_typed(name):
    shown = read(page(tag("p", tag("bdi", name)))).first("bdi")
    assert shown.text() == name
    assert shown.elements == []


def test_elements_keep_their_order_and_their_attributes():
    tree = read(page(tag("p", "a", tag("br"), "b", tag("span", "c", class_="pill n")), tag("hr")))
    paragraph = tree.first("p")
    assert [getattr(each, "name", each) for each in paragraph.children] == ["a", "br", "b", "span"]
    assert tree.first(class_="pill").classes == ["pill", "n"]
    assert tree.first("main").elements[-1] == Element("hr")


def test_an_end_that_closes_nothing_is_passed_over():
    tree = read(b"<p>one</b> two</p><ul><li>a<li>b</ul><p>three</p>")
    assert [each.text() for each in tree.elements if each.name == "p"] == ["one two", "three"]


def test_scripts_and_styles_leave_no_text():
    tree = read(b"<style>p > b {}</style><script>if (1 < 2) '<p>no</p>'</script><p>yes</p>")
    assert tree.text() == "yes"


@pytest.mark.parametrize("units", ["metric", "us"])
def test_of_a_figure_in_three_systems_one_is_left(units):
    figure = (tag("span", "10 m²", class_="metric"), tag("span", "12 sq yd", class_="imperial us"))
    data = page(tag("p", *figure)).replace(
        b'data-units="metric"', b'data-units="%s"' % units.encode()
    )
    assert on_paper(read(data)).first("p").text() == {"metric": "10 m²", "us": "12 sq yd"}[units]


def test_a_layer_that_is_not_shown_is_not_in_the_legend():
    def layer(name, *, shown):
        return tag("li", tag("label", tag("input", type="checkbox", checked=shown), name))

    tree = on_paper(read(page(tag("ul", layer("strip", shown=True), layer("loads", shown=False)))))
    assert tree.first("ul").text() == "strip"


def test_one_element_is_taken_out_of_another():
    tree = read(page(tag("p", "a", tag("b", "c")), tag("p", tag("b", "d"))))
    assert without(tree, tree.first("b")).first("main").text() == "ad"
    assert tree.first("main").text() == "acd"
