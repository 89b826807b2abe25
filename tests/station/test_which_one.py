"""Which one at the station: the key in the address, one species, look-alikes side by side."""

from __future__ import annotations

import re
from html import unescape

import pytest

from haulbook.taxa import load_pack

pytestmark = pytest.mark.django_db


def links(page):
    return [unescape(one) for one in re.findall(r'href="(/which-one/[^"]*)"', page)]


def test_the_key_goes_look_by_look_through_links_alone(lead):
    assert "/which-one/?saw=body_plan%3Dbighead" in links(lead.get("/which-one/").content.decode())
    address = "/which-one/?saw=body_plan%3Dbighead"
    for _ in range(2):
        page = lead.get(address).content.decode()
        address = next(one for one in links(page) if one.count("saw=") > address.count("saw="))
    page = lead.get(address).content.decode()
    assert "after 3 looks" in page
    assert "How sure" in page
    assert "take back" in page


def test_a_look_that_cannot_be_had_is_left_out_and_taken_back(lead):
    page = lead.get("/which-one/?saw=body_plan%3Dbighead").content.decode()
    skip = next(one for one in links(page) if "skip=" in one)
    page = lead.get(skip).content.decode()
    assert "look again" in page
    assert "What does the skin feel like?" in page  # it stands among what was seen, with its question


def test_several_answers_become_one(lead):
    answer = lead.get("/which-one/?look=body_plan&one=bighead&one=tadpole&site=sallowhorn-cove&month=5")
    assert answer.status_code == 302
    assert unescape(answer["Location"]).startswith("/which-one/?saw=body_plan%3Dbighead%7Ctadpole")
    assert "month=5" in answer["Location"]
    assert lead.get(answer["Location"]).status_code == 200


def test_past_finds_of_site_and_month_weigh_in(lead):
    bare = lead.get("/which-one/?saw=body_plan%3Dbighead").content.decode()
    page = lead.get("/which-one/?saw=body_plan%3Dbighead&site=sallowhorn-cove&month=6").content.decode()
    assert "past hauls of that site and season weigh in" in page
    assert "past hauls" not in bare


def test_an_address_that_fits_no_more_begins_anew_with_words(lead):
    answer = lead.get("/which-one/?saw=body_plam%3Dpipe")
    assert answer.status_code == 400
    assert "here it begins anew" in answer.content.decode()


def test_a_hazard_is_named_while_it_is_possible(lead):
    page = lead.get("/which-one/?saw=body_plan%3Djelly").content.decode()
    assert "To heed, while it may be one of these" in page
    assert "hazardous" in page


def test_the_page_of_a_species_has_its_names_its_cautions_and_its_outings(lead):
    page = lead.get("/which-one/?taxon=grubby").content.decode()
    assert "Myoxocephalus aenaeus" in page
    assert "/outing/2026-09-11-a/" in page
    assert "Short head spines" in page or "short head spines" in page
    assert "What tells them apart" in page


@pytest.mark.parametrize("taxon", sorted(load_pack("nwatlantic").taxa)[::9])
def test_taxa_of_the_pack_have_pages(lead, taxon):
    assert lead.get("/which-one/", {"taxon": taxon}).status_code == 200


def test_an_open_name_is_said_to_be_open_and_an_unknown_one_to_be_none(lead):
    page = lead.get("/which-one/", {"taxon": "?minnow"})
    assert page.status_code == 200
    assert "stands for no animal of the pack yet" in page.content.decode()
    assert lead.get("/which-one/", {"taxon": "unicorn"}).status_code == 404


def test_look_alikes_stand_side_by_side_and_one_more_is_put_beside_them(lead):
    page = lead.get("/which-one/side-by-side/?taxon=cunner&taxon=tautog").content.decode()
    assert "How thick are the lips?" in page
    answer = lead.get("/which-one/side-by-side/?taxon=cunner&taxon=tautog&name=grubby")
    assert answer.status_code == 302
    assert answer["Location"].endswith("taxon=grubby")
    assert lead.get("/which-one/side-by-side/?taxon=cunner&name=zorgfish").status_code == 400
    card = lead.get("/which-one/side-by-side/?taxon=cunner&taxon=tautog&as=card")
    assert "attachment" in card["Content-Disposition"]
    assert "Nothing to compare yet." in lead.get("/which-one/side-by-side/").content.decode()


def test_the_key_asks_the_database_as_often_however_much_was_seen(lead, django_assert_max_num_queries):
    address = "/which-one/?saw=body_plan%3Dtorpedo"
    for one in (address, f"{address}&site=sallowhorn-cove&month=6", "/which-one/?taxon=cunner"):
        lead.get(one)
        with django_assert_max_num_queries(25):
            lead.get(one)
