import numpy as np
import pyarrow as pa

from lawnmap.jobs.sites.door import names
from lawnmap.jobs.sites.door.trouble import Trouble, by_site

ROWS = np.array([11, 12, 13])


def texts(*values):
    return pa.array(values, pa.string())


def test_a_zone_without_a_site_is_a_site_of_its_own():
    found = names.ids(texts(" a ", "b", "c"), texts("S", None, ""), ROWS, by_row=False)
    assert found.zone.tolist() == ["a", "b", "c"]
    assert found.site.tolist() == ["S", "b", "c"]


def test_zones_that_nobody_named_are_called_by_their_place():
    found = names.ids(None, None, ROWS, by_row=True)
    assert found.zone.tolist() == found.site.tolist() == ["11", "12", "13"]


def test_names_that_are_none():
    found = names.ids(texts("a\nb", "c" * 201, None), None, ROWS, by_row=False)
    trouble = Trouble(3)
    names.check(found, trouble)
    reasons = [each.reason for each in trouble.skipped(ROWS, found.site, found.zone)]
    assert reasons == [
        "zone_id 'a\\nb' holds characters that do not print",
        "zone_id is 201 characters long",
        "zone_id is missing",
    ]


def test_hashes_are_those_of_sites():
    one = names.ids(texts("a", "b", "c"), texts("S", "T", "S"), ROWS, by_row=False).hashes()
    other = names.ids(texts("x"), texts("T"), ROWS[:1], by_row=False).hashes()
    assert one[0] == one[2] != one[1] == other[0]


def test_what_a_site_is_told():
    trouble = Trouble(3)
    trouble.add(0, "moss_rating", "moss_rating is 9")
    trouble.add(0, "geometry", "never said: the first counts")
    trouble.add_all([1, 2], "geometry", "it has no shape")
    sites = np.array(["S", "S", "T"], dtype=object)
    skipped = trouble.skipped(ROWS, sites, np.array(["a", None, "c"], dtype=object))
    assert by_site(skipped) == {
        "S": "2 zones left out: a: moss_rating is 9; row 12: it has no shape.",
        "T": "1 zone left out: c: it has no shape.",
    }
