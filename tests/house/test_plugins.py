"""Every entry point of ours loads and fits its shape; a bad one of somebody else's is told."""

import click
import pytest

from lawnmap import plugins
from lawnmap.errors import PluginProblem


def ours(group):
    return [
        name
        for name, points in plugins.available(group).items()
        if any(plugins.owner(point) == "lawnmap" for point in points)
    ]


@pytest.mark.parametrize(
    ("group", "name"), [(group, name) for group in plugins.GROUPS for name in ours(group)]
)
def test_entry_point_loads_and_fits(group, name):
    plugin = plugins.load(group, name)
    if group == "commands":
        assert isinstance(plugin, click.Command)
        assert plugin.name == name
        return
    assert isinstance(plugin.TITLE, str)
    assert plugin.TITLE
    if group == "treatments":
        assert plugin.KIND in plugins.TREATMENT_KINDS
    if group == "readers":
        assert name in plugin.KINDS
        assert isinstance(plugin.CHILD, bool)
    if group == "exports":
        assert plugin.SUFFIX.startswith(".")
        assert plugin.AUDIENCE in {"owner", "crew", "client", "public"}


def test_all_groups_have_something_but_tables_which_are_for_others():
    assert [group for group in plugins.GROUPS if not ours(group)] == ["tables"]


class Point:
    def __init__(self, name, owner, value):
        self.name, self.value = name, value
        self.dist = type("Dist", (), {"name": owner})

    def load(self):
        if isinstance(self.value, Exception):
            raise self.value
        return self.value


def offer(monkeypatch, *points):
    monkeypatch.setattr(plugins, "entry_points", lambda group: list(points))


def test_two_of_one_name_are_refused_and_both_named(monkeypatch):
    offer(monkeypatch, Point("dxf", "one", 1), Point("dxf", "other", 2))
    with pytest.raises(PluginProblem, match="one and other"):
        plugins.load("readers", "dxf")


def test_one_that_will_not_load_names_its_owner(monkeypatch):
    offer(monkeypatch, Point("dxf", "broken-dist", ModuleNotFoundError("no ezdxf")))
    with pytest.raises(PluginProblem, match=r"broken-dist.*no ezdxf"):
        plugins.load("readers", "dxf")


def test_one_of_the_wrong_shape_names_what_it_lacks(monkeypatch):
    offer(monkeypatch, Point("dxf", "thin-dist", type("M", (), {"TITLE": "x"})))
    with pytest.raises(PluginProblem, match="KINDS, CHILD, look, read"):
        plugins.load("readers", "dxf")


def test_none_of_that_name_lists_those_there_are(monkeypatch):
    offer(monkeypatch, Point("kml", "lawnmap", 1))
    with pytest.raises(PluginProblem, match="There are: kml"):
        plugins.load("readers", "kmll")
