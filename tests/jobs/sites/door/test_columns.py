import pytest

from lawnmap import schema
from lawnmap.errors import InputRefused, UsageProblem
from lawnmap.jobs.sites.door.columns import matched
from lawnmap.jobs.sites.door.content import ZONES


def test_every_fact_of_a_zone_and_the_three_of_its_site():
    facts = {column.name for column in schema.facts("zones")}
    assert set(ZONES.columns) == facts | {"site_id", "region", "depot"}


def test_names_are_known_whatever_their_case_and_blanks():
    found = matched(["Zone ID", "MOSS-RATING", "colour", "plan_area_m2"], {})
    assert found.used == {"zone_id": "Zone ID", "moss_rating": "MOSS-RATING"}
    assert found.unknown == ("colour", "plan_area_m2")


def test_the_persons_word_goes_before_the_name():
    found = matched(["moss_rating", "moss_now", "id"], {"moss_rating": "moss_now"})
    assert found.used == {"moss_rating": "moss_now", "zone_id": "id"}
    assert found.unknown == ("moss_rating",)


@pytest.mark.parametrize(
    ("names", "used"),
    [(["id", "fid"], "id"), (["FID"], "FID"), (["fid", "zone_id"], "zone_id"), (["name"], None)],
)
def test_what_names_a_zone(names, used):
    assert matched(names, {}).used.get("zone_id") == used


def test_two_columns_of_one_meaning_are_refused():
    with pytest.raises(InputRefused, match="both stand for moss_rating"):
        matched(["moss_rating", "Moss Rating"], {})


def test_renaming_what_is_not_there():
    with pytest.raises(UsageProblem, match="'moss' is no column"):
        matched(["a"], {"moss": "a"})
    with pytest.raises(InputRefused, match="no column 'b'") as refused:
        matched(["a"], {"moss_rating": "b"})
    assert refused.value.remedy == "Its columns are: a."
