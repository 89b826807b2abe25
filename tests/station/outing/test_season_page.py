"""The season's page: outings of a year, what is owed, what is left to keep."""

from __future__ import annotations

import html
import re

import pytest

pytestmark = pytest.mark.django_db


def text_of(answer) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", answer.content.decode())).split())


def test_a_year_shows_its_outings_with_low_water_and_totals(lead):
    page = lead.get("/season/?year=2026")
    words = text_of(page)
    assert "All 5 outings 20 7544 181 48" in words
    assert re.search(r"1 Mon 18 May 14:56 −0\.1 4 711 36 3 signed", words)
    assert page.content.decode().count('class="ring"') >= 5


def test_what_stands_open_is_lettered_and_leads_to_where_it_is_settled(lead, morning):
    page = lead.get("/season/?year=2026")
    assert f'href="/outing/{morning}/settle/"' in page.content.decode()
    words = text_of(page)
    assert "2 things stand open remark a" in words
    assert "remark a Outing 6: 2 things stand open: settle, then close" in words


def test_what_is_left_to_keep_names_animals_and_their_number(lead):
    words = text_of(lead.get("/season/?year=2026"))
    assert "northern pipefish (2a)" in words
    assert "sculpins (2d)" in words


def test_a_year_without_outings_says_what_will_stand_here(lead):
    assert "No outing in 2031 yet." in text_of(lead.get("/season/?year=2031"))
    for odd in ("0000", "banana", "99999", "²²²²", "-001"):
        assert lead.get("/season/", {"year": odd}).status_code == 200


def test_a_planned_outing_stands_in_its_year(lead):
    from haulbook.station.store import plans

    body = {
        "outing": "2026-12-01-a", "site": "sallowhorn-cove", "date": "2026-12-01", "hauls": 3, "permits": ["SC-24-031"],
        "nets": ["n1"], "crew": ["p1", "p3"], "people_present": 4,
    }  # fmt: skip
    plans.keep(body, "p1")
    words = text_of(lead.get("/season/?year=2026"))
    assert re.search(r"6 Tue 1 Dec \d\d:\d\d \S+ planned", words)
    assert "All 5 outings" in words
