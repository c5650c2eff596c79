import numpy as np
import pyarrow as pa
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lawnmap.errors import InputRefused
from lawnmap.jobs.sites.door import order

SITES = st.lists(st.integers(0, 6), min_size=1, max_size=60)
SIZES = st.integers(1, 70)


def hashes(sites):
    """Return numbers far apart, as the hashes of names are."""
    return np.array(sites, dtype=np.uint64) * np.uint64(0x9E3779B97F4A7C15)


def stream(many, at_a_time):
    for start in range(0, many, at_a_time):
        stop = min(start + at_a_time, many)
        yield pa.record_batch({"value": pa.array(np.arange(start, stop) * 10)})


def sites_of(piece, sites):
    return [sites[row - 1] for row in piece.rows.column("row").to_pylist()]


@given(SITES, SIZES)
def test_batches_hold_whole_sites_and_no_more_than_was_asked(sites, size):
    sites = sorted(sites)
    ends = order.cuts(hashes(sites), size)
    assert ends[-1] == len(sites)
    for start, end in zip([0, *ends[:-1]], ends, strict=True):
        own = sites[start:end]
        assert end - start <= size or len(set(own)) == 1
        assert not set(own) & set(sites[end:])


@given(SITES, SIZES, st.integers(1, 20))
def test_a_grouped_file_comes_in_its_own_order(sites, size, at_a_time):
    sites = sorted(sites)
    pieces = list(order.in_order(stream(len(sites), at_a_time), hashes(sites), size))
    rows = [row for piece in pieces for row in piece.rows.column("row").to_pylist()]
    assert rows == list(range(1, len(sites) + 1))
    values = [each for piece in pieces for each in piece.rows.column("value").to_pylist()]
    assert values == [(row - 1) * 10 for row in rows]


@given(SITES, SIZES, st.integers(1, 20))
def test_rows_in_any_order_come_site_by_site(sites, size, at_a_time):
    pieces = list(order.dealt(stream(len(sites), at_a_time), hashes(sites), size, None))
    seen = set()
    rows = []
    for piece in pieces:
        own = sites_of(piece, sites)
        assert not seen & set(own)
        assert len(own) <= size or len(set(own)) == 1
        seen |= set(own)
        for row, value in zip(
            piece.rows.column("row").to_pylist(),
            piece.rows.column("value").to_pylist(),
            strict=True,
        ):
            assert value == (row - 1) * 10
            rows.append(row)
    assert sorted(rows) == list(range(1, len(sites) + 1))


def test_many_rows_are_dealt_into_several_piles(monkeypatch, tmp_path):
    monkeypatch.setattr(order, "PILE_ROWS", 50)
    sites = np.random.default_rng(1).integers(0, 200, 1_000).tolist()
    opened = []
    real = order.pa.memory_map
    monkeypatch.setattr(order.pa, "memory_map", lambda path: opened.append(path) or real(path))
    pieces = list(order.dealt(stream(1_000, 64), hashes(sites), 100, tmp_path))
    assert len(opened) > 10
    assert sum(piece.rows.num_rows for piece in pieces) == 1_000
    assert not list(tmp_path.iterdir())


def test_a_site_of_too_many_zones_is_cut_and_told(monkeypatch):
    monkeypatch.setattr(order, "BULK", order.BULK._replace(zones=5))
    sites = [1, *[2] * 12, 3]
    pieces = list(order.in_order(stream(14, 4), hashes(sites), 3))
    crowded = np.concatenate([piece.crowded for piece in pieces])
    assert crowded.tolist() == [site == 2 for site in sites]
    assert max(piece.rows.num_rows for piece in pieces) <= 5


@pytest.mark.parametrize("many", [9, 11])
@pytest.mark.parametrize("way", [order.in_order, lambda *all_: order.dealt(*all_, None)])
def test_a_file_that_grew_or_shrank_is_refused(many, way):
    with pytest.raises(InputRefused, match="was changed"):
        list(way(stream(many, 4), hashes([1] * 10), 4))


def test_grouped_or_not():
    assert order.grouped(hashes([1, 1, 2, 3]))
    assert not order.grouped(hashes([1, 2, 1]))
    assert order.grouped(hashes([]))
