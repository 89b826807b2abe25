"""Sums and joins over coded columns give what plain Python gives."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulbook.exchange import coding
from haulbook.exchange.coding import Coded, combine, joined, merged

ROWS = st.lists(st.tuples(st.integers(0, 3), st.integers(0, 5), st.integers(0, 2)), max_size=40)


@pytest.mark.parametrize("dense", [0, 20_000_000])
@given(rows=ROWS)
def test_combinations_are_numbered_in_the_order_of_their_first_row(dense, rows):
    parts = [np.array([row[k] for row in rows], np.int32) for k in range(3)]
    before, coding._DENSE = coding._DENSE, dense
    try:
        first, codes = combine(parts, [4, 6, 3])
    finally:
        coding._DENSE = before
    order = list(dict.fromkeys(rows))
    assert codes.tolist() == [order.index(row) for row in rows]
    assert first.tolist() == [rows.index(row) for row in order]


def test_more_combinations_than_fit_a_whole_number_are_still_told_apart():
    parts = [
        np.array([0, 1, 0, 1], np.int32),
        np.array([5, 5, 6, 5], np.int32),
        np.array([7, 7, 7, 7], np.int32),
    ]
    _, codes = combine(parts, [2**31 - 1, 2**31 - 1, 2**31 - 1])
    assert codes.tolist() == [0, 1, 2, 1]


def test_joined_texts_and_equal_texts_have_one_code():
    site = Coded(("cove", "cove "), np.array([0, 1, 0], np.int32))
    no = Coded(("1", "2"), np.array([0, 0, 1], np.int32))
    key = joined([merged([text.strip() for text in site.values], site.codes), no])
    assert list(key) == ["cove/1", "cove/1", "cove/2"]
    assert key.values == ("cove/1", "cove/2")
    assert key.codes.tolist() == [0, 0, 1]
