import pytest

from lawnmap import schema
from lawnmap.processing.many.disclosed import disclosed
from tests import sites_tables


@pytest.fixture(scope="module")
def tables():
    made = sites_tables.tables(40)
    return made | sites_tables.dated(made["sites"])


def paper(tables, audience, **given):
    return disclosed(tables, audience, title="All", today=sites_tables.TODAY, **given)


@pytest.mark.parametrize("audience", schema.AUDIENCES)
def test_each_sees_the_columns_of_its_circle_and_no_other(tables, audience):
    shown = paper(tables, audience).tables
    for name, table in shown.items():
        allowed = {*schema.names(name, audience=audience), "site_id"} - {"private_note"}
        assert set(table.columns) <= allowed, name
    assert ("depot_shopping" in shown) == (audience in {"crew", "owner"})


def test_who_may_not_see_depots_is_told_none_by_a_sum_either(tables):
    assert "depot" in set(paper(tables, "crew").table("totals_by")["by"])
    shown = paper(tables, "client")
    assert "depot" not in set(shown.table("totals_by")["by"])
    for name, table in shown.tables.items():
        assert not table.isin(sites_tables.DEPOTS).any(axis=None), name


def test_strange_columns_never_leave(tables):
    own = {**tables, "sites": tables["sites"].assign(telephone="0123")}
    assert "telephone" not in paper(own, "owner").table("sites").columns


def test_money_is_the_owners(tables):
    choices = {"money": {"currency": "EUR"}, "contact": "The office", "crew": {"people": 2}}
    assert set(paper(tables, "owner", choices=choices).choices) == {"money", "contact"}
    assert set(paper(tables, "crew", choices=choices).choices) == {"contact"}


def test_a_paper_of_one_depot_has_its_sites_alone(tables):
    depot = sites_tables.DEPOTS[1]
    shown = paper(tables, "owner", depot=depot)
    own = set(tables["sites"].loc[tables["sites"]["depot"] == depot, "site_id"])
    assert set(shown.table("sites")["site_id"]) == own
    assert set(shown.table("steps")["site_id"]) <= own
    assert set(shown.table("depot_machines")["depot"]) == {depot}
    sums = shown.table("totals_by")
    assert set(sums["by"]) == {"depot", "site"}
    assert set(sums.loc[sums["by"] == "site", "key"]) <= own
