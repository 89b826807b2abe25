"""Search: taxa, outings and words of the book; whatever is typed is looked for as it stands."""

from __future__ import annotations

import html
import re

import pytest

from haulbook.station.models import Said
from haulbook.station.store import book

pytestmark = pytest.mark.django_db


def found(client, words, **more):
    answer = client.get("/search/", {"q": words, **more})
    assert answer.status_code == 200, words
    return html.unescape(answer.content.decode())


def rows(page, caption):
    table = next((one for one in page.split("<table") if f"<strong>{caption}</strong>" in one), "")
    return table.count("<tr") - 1 if table else 0


def remark(text):
    book.write([book.Wanted("remark", {"text": text}, "2026-09-11-a")], "p1", "America/New_York")


def test_a_name_finds_the_taxon_its_outings_and_every_call(lead):
    page = found(lead, "cunner")
    assert "Tautogolabrus adspersus" in page
    assert rows(page, "Taxa") == 2  # and the wrasses, one of which is called so too
    assert (
        rows(page, "Called, remarked, given as a reason")
        == Said.objects.filter(text__icontains="cunner").count()
    )
    assert 'href="/outing/2026-09-11-a/' in page


def test_a_scientific_name_and_a_day_find_what_they_name(lead):
    assert "Menidia menidia" in found(lead, "menidia")
    page = found(lead, "2026-09")
    assert rows(page, "Outings") == 1


@pytest.mark.parametrize("sign", ["%", "_", "\\", "'", '"', "%%", "100%", "_unner"])
def test_signs_that_a_database_takes_for_others_stand_for_themselves(lead, sign):
    """``%`` and ``_`` are wildcards of SQL's LIKE (ISO/IEC 9075-2, like predicate)."""
    assert rows(found(lead, sign), "Called, remarked, given as a reason") == 0
    remark(f"about {sign} of the bed")
    assert rows(found(lead, sign), "Called, remarked, given as a reason") == 1


def test_what_was_typed_comes_back_as_it_was_typed_and_never_as_html(lead):
    answer = lead.get("/search/", {"q": "<script>alert(1)</script>"}).content.decode()
    assert "<script>alert(1)" not in answer
    assert "&lt;script&gt;alert(1)" in answer


def test_a_book_in_the_field_is_cut_and_answered(lead):
    page = found(lead, "cunner " * 7_000)
    assert f'value="{"cunner " * 28}cunn"' in page  # two hundred signs
    assert len(page) < 3 * 49_000  # the address asked for stands in both forms of the light, and nowhere else


def test_nothing_found_says_what_to_try(lead):
    assert "Try a shorter word, a scientific name, or a day as 2026-05." in found(lead, "qqq")
    assert "Nothing stands under" not in found(lead, "   ")


def test_many_lines_come_in_parts(lead):
    for i in range(60):
        remark(f"sandbar {i}")
    first, second = found(lead, "sandbar"), found(lead, "sandbar", page="2")
    assert (
        rows(first, "Called, remarked, given as a reason"),
        rows(second, "Called, remarked, given as a reason"),
    ) == (50, 10)
    assert 'rel="next"' in first
    assert 'rel="prev"' in second


@pytest.mark.parametrize("page", ["0", "-1", "two", "²", "9" * 5000, "9999"])
def test_a_part_that_there_is_not_is_no_mishap(lead, page):
    found(lead, "cunner", page=page)


def test_the_page_asks_the_database_as_often_for_two_lines_as_for_fifty(lead, django_assert_max_num_queries):
    found(lead, "cunner")
    with django_assert_max_num_queries(10):
        found(lead, "cunner")
    with django_assert_max_num_queries(10):
        found(lead, "2026-09-11")


def test_every_link_of_a_search_leads_somewhere(lead):
    page = found(lead, "cunner")
    for address in set(re.findall(r'href="(/(?:bed|outing)/[^"]*)"', page)):
        assert lead.get(address, follow=True).status_code == 200, address
