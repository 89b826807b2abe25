"""Every page that the lead may read asks the database as often with twenty outings more; a new route is walked too."""

from __future__ import annotations

import pytest
from django.urls import get_resolver, reverse

from haulbook.station.store import readings

pytestmark = pytest.mark.django_db

WORDS = {
    "tank": "q1",
    "no": "SC-24-031",
    "what": "net",
    "path": "tutorial/first-season",
    "file": "shell.json",
}
WORDS_OF = {"thing": {"key": "n1"}, "outing-add-one": {"what": "remark"}}
ASKED = {
    "bed": "?taxon=cunner",
    "permit-clause": "?id=2a",
    "report": "?first=2026-01-01&last=2026-12-31",
    "search": "?q=grubby",
    "which-one": "?taxon=grubby",
}
ENOUGH = 40
"""More queries than any page needs."""


def addresses(outing):
    for one in get_resolver().url_patterns:
        needed = one.pattern.converters
        words = {"outing": outing, **WORDS, **WORDS_OF.get(one.name, {})}
        if one.callback.access.get("GET", "device") != "device" and needed.keys() <= words.keys():
            kwargs = {name: words[name] for name in needed}
            yield one.name, reverse(one.name, kwargs=kwargs or None) + ASKED.get(one.name, "")


def counted(lead, address, django_assert_max_num_queries):
    lead.get(address)  # what an entry touched is made anew by whoever asks first
    with django_assert_max_num_queries(200) as queries:
        answer = lead.get(address)
        _ = b"".join(answer) if answer.streaming else answer.content
    return answer.status_code, len(queries)


def test_every_page_asks_as_often_with_twenty_outings_more(
    lead, morning, mornings, django_assert_max_num_queries
):
    few = {
        name: counted(lead, address, django_assert_max_num_queries) for name, address in addresses(morning)
    }
    assert len(few) > 45
    before = len(readings.outings())
    mornings(20)
    assert len(readings.outings()) == before + 20
    many = {
        name: counted(lead, address, django_assert_max_num_queries) for name, address in addresses(morning)
    }
    assert {name: (few[name], many[name]) for name in few if few[name] != many[name]} == {}
    assert {name: n for name, (_status, n) in many.items() if n > ENOUGH} == {}
