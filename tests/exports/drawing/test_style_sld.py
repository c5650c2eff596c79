from xml.etree import ElementTree as ET

import pytest

from lawnmap.exports.drawing.style_sld import feature_style, moss_style, set_out_style
from lawnmap.exports.drawing.symbols import LOOKS
from lawnmap.reference.tables import scale

# Names and order of elements from OGC 02-070 (Styled Layer Descriptor 1.0.0) and OGC 02-059
# (Filter Encoding 1.0.0), from memory.
SLD = "{http://www.opengis.net/sld}"
OGC = "{http://www.opengis.net/ogc}"
RULE = ["Name", "Title", "Filter", "PolygonSymbolizer"]


def rules(text):
    root = ET.fromstring(text.encode())
    assert (root.tag, root.get("version")) == (f"{SLD}StyledLayerDescriptor", "1.0.0")
    path = "/".join(f"{SLD}{each}" for each in ("NamedLayer", "UserStyle", "FeatureTypeStyle"))
    return root.find(path).findall(f"{SLD}Rule")


def luminance(colour):
    """Return the relative luminance as WCAG 2.2 defines it."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return sum(w * c for w, c in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def test_there_is_a_rule_for_each_class_and_one_for_the_rest():
    found = rules(moss_style("zones", ["name", "moss_class", "moss_rating"]))
    *classes, rest = found
    assert [rule.find(f".//{OGC}Literal").text for rule in classes] == [
        each.word for each in scale("moss")
    ]
    assert {rule.find(f".//{OGC}PropertyName").text for rule in classes} == {"moss_class"}
    for rule in classes:
        assert [child.tag.split("}")[1] for child in rule] == RULE
    assert rest.find(f"{SLD}ElseFilter") is not None


def test_without_the_words_the_rating_is_used():
    *classes, _ = rules(moss_style("zones", ["moss_rating"]))
    assert {rule.find(f".//{OGC}PropertyName").text for rule in classes} == {"moss_rating"}
    assert [rule.find(f".//{OGC}Literal").text for rule in classes] == list("012345")


def test_without_either_there_is_no_style():
    assert moss_style("zones", ["name"]) == ""


def test_more_moss_is_always_darker():
    *classes, _ = rules(moss_style("zones", ["moss_class"]))
    fills = [rule.find(f".//{SLD}CssParameter[@name='fill']").text for rule in classes]
    light = [luminance(fill) for fill in fills]
    assert light == sorted(light, reverse=True)
    assert len(set(fills)) == len(fills)


@pytest.mark.parametrize("name", ["a<b>&c", '"quoted"', "Wiese süd"])
def test_the_layer_is_named_as_it_is(name):
    root = ET.fromstring(moss_style(name, ["moss_class"]).encode())
    assert root.find(f"{SLD}NamedLayer/{SLD}Name").text == name


@pytest.mark.parametrize(
    ("shape", "drawn"),
    [("area", "PolygonSymbolizer"), ("line", "LineSymbolizer"), ("point", "PointSymbolizer")],
)
def test_features_have_a_rule_a_kind(shape, drawn):
    found = rules(feature_style("features", shape, ["water", "hedge"]))
    assert [rule.find(f".//{OGC}Literal").text for rule in found] == ["water", "hedge"]
    assert [[child.tag.split("}")[1] for child in rule] for rule in found] == [
        [*RULE[:3], drawn]
    ] * 2
    (water, _) = (rule.find(f".//{SLD}CssParameter[@name='stroke']").text for rule in found)
    assert water == LOOKS["water"].stroke


def test_what_is_set_out_is_told_apart_and_anything_else_has_one_look():
    *parts, rest = rules(set_out_style("bouts", "line", ["zone_id", "pass"]))
    assert [rule.find(f".//{OGC}Literal").text for rule in parts] == ["1", "2"]
    dashes = [rule.find(f".//{SLD}CssParameter[@name='stroke-dasharray']") for rule in parts]
    assert [each is None for each in dashes] == [True, False]
    assert rest.find(f"{SLD}ElseFilter") is not None
    for layer, columns in (("walk", ["zone_id"]), ("kept_clear", ["zone_id"])):
        (only,) = rules(set_out_style(layer, "area", columns))
        assert only.find(f"{SLD}ElseFilter") is None
