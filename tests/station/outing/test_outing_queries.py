"""Pages of an outing and the season ask the database as often for many as for few, and answer in time."""

from __future__ import annotations

import time

import pytest

pytestmark = pytest.mark.django_db

PAGES = ("/outing/{o}/", "/outing/{o}/settle/", "/outing/{o}/calls/", "/outing/{o}/sign/", "/outing/{o}/differences/",
         "/outing/{o}/account/", "/outing/{o}/add/line/", "/outings/", "/season/?year=2026")  # fmt: skip
TIMES_S = 0.3
"""What a page of a long outing may take at the server; this machine is shared, so the best of several is taken."""


def asked(client, django_assert_max_num_queries, address) -> int:
    assert client.get(address).status_code == 200  # readings that an entry touched are made anew once
    with django_assert_max_num_queries(100) as queries:
        assert client.get(address).status_code == 200
    return len(queries)


def test_a_page_asks_as_often_with_twenty_outings_more(
    lead, morning, mornings, django_assert_max_num_queries
):
    few = {page: asked(lead, django_assert_max_num_queries, page.format(o=morning)) for page in PAGES}
    mornings(20)
    many = {page: asked(lead, django_assert_max_num_queries, page.format(o=morning)) for page in PAGES}
    assert many == few
    assert max(few.values()) <= 45


def test_a_page_asks_as_often_for_two_thousand_lines(
    lead, morning, long_morning, django_assert_max_num_queries
):
    for page in PAGES[:7]:
        few = asked(lead, django_assert_max_num_queries, page.format(o=morning))
        many = asked(lead, django_assert_max_num_queries, page.format(o=long_morning))
        assert many <= few, page


def test_the_page_of_two_thousand_lines_is_there_in_time(lead, long_morning):
    took = []
    for _ in range(6):
        begun = time.process_time()
        assert lead.get(f"/outing/{long_morning}/").status_code == 200
        took.append(time.process_time() - begun)
    assert min(took) < TIMES_S, took
