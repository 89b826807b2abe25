"""Permits: what is left beside the permit's own words, files with their versions, two people for every clause."""

from __future__ import annotations

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from haulbook.demo.season import papers
from haulbook.station.models import Confirmation, PermitFile
from haulbook.station.pages.permit_steps import Point, steps, strokes
from haulbook.station.store import permits as store

pytestmark = pytest.mark.django_db

NO = "SC-24-031"
TEXT = papers()["permit.toml"].decode()
LIMIT = {
    "id": "2f", "text": "Lined seahorse: two (2) in a permit year.", "page": "3", "taxa": "lined seahorse",
    "basis": "retained", "limit": "2", "period": "permit_year", "stop": "taxon", "why": "by letter of the agency",
}  # fmt: skip


@pytest.fixture(autouse=True)
def _today(settings):
    settings.HAULBOOK_NOW = "2026-11-25T12:00:00+00:00"


def page_of(client, address, status=200):
    answer = client.get(address)
    assert answer.status_code == status
    return answer.content.decode()


def clause_of(key, version=1):
    (one,) = [one for one in store.permits()[0].clauses if (one.id, one.version) == (key, version)]
    return one


def confirm(client, key, version=1, digest=None):
    digest = digest or store.clause_digest(clause_of(key, version))
    return client.post(f"/permits/confirm/{NO}/", {"id": key, "version": version, "digest": digest})


def test_the_list_says_what_holds_and_what_is_near(lead):
    page = page_of(lead, "/permits/")
    assert NO in page
    assert "in force" in page
    assert "Every clause in force was compared by two." in page


def test_a_permit_shows_what_is_left_beside_its_own_words(lead):
    page = page_of(lead, f"/permit/{NO}/?clause=2d")
    assert "Sculpins of the attached list: six (6) in a permit year." in page
    assert "1 more may be kept until 31 March 2027." in page
    assert 'id="clause-2a"' in page
    assert "steps-chart" in page
    assert "word to the district biologist at least 24 h before the first haul" in page


def test_the_number_of_a_clause_opens_its_hauls_and_their_entries(lead):
    page = page_of(lead, f"/permits/clause/{NO}/?id=2a&haul=2026-05-18-a/1")
    assert "northern pipefish" in page
    assert "/outing/2026-05-18-a/entry/" in page
    assert "pipefish or seahorse unidentified" in page  # known only so, it may be meant
    assert "limit = 12" in page  # as it was typed


def test_a_permit_or_clause_that_is_not_here_is_said(lead):
    assert "There is no permit XX-1." in page_of(lead, "/permit/XX-1/", 404)
    assert f"Permit {NO} has no clause 99." in page_of(lead, f"/permits/clause/{NO}/?id=99", 404)


@pytest.mark.parametrize("address", ["/permits/", f"/permit/{NO}/", f"/permits/clause/{NO}/?id=2a"])
def test_a_page_asks_the_database_as_often_whatever_the_permit_holds(
    lead, address, django_assert_max_num_queries
):
    lead.get(address)  # what is kept is made
    with django_assert_max_num_queries(24):
        lead.get(address)
    more = TEXT
    for i in range(20):
        more += (
            f'\n[[clause]]\nid = "x{i}"\nkind = "limit"\nscope = {{all = true}}\nbasis = "retained"\n'
            f'limit = {i + 900}\nperiod = "permit_year"\nsource = {{text = "So many."}}\n'
        )
    store.store_permit(more, "p1")
    lead.get(address)
    with django_assert_max_num_queries(24):
        lead.get(address)


def test_a_file_is_looked_at_before_it_is_kept(lead):
    changed = TEXT.replace("limit = 12", "limit = 10")
    handed = {"file": SimpleUploadedFile("sc.toml", changed.encode())}
    page = lead.post("/permits/hand-in/", handed).content.decode()
    assert "Clause 2a, version 1" in page
    assert "two people compare it anew" in page
    assert "clauses 2a say something new" in page
    assert PermitFile.objects.count() == 1
    scan = SimpleUploadedFile("permit.pdf", b"%PDF-1.4 invented")
    answer = lead.post("/permits/keep/", {"text": changed, "why": "amended", "paper": scan})
    assert answer["Location"] == f"/permit/{NO}/"
    row = PermitFile.objects.get(number=2)
    assert (row.why, row.by, row.paper.name) == ("amended", "p1", "permit.pdf")
    assert lead.get(f"/permits/proof/{row.paper_id}/").content == b"%PDF-1.4 invented"
    assert clause_of("2a").confirmed_by == ()  # who compared the twelve has not compared the ten
    assert clause_of("2b").confirmed_by == ("p1", "p2")
    page = page_of(lead, f"/permit/{NO}/")
    assert "1 clause was not compared with the paper by two people" in page
    files = page_of(lead, f"/permits/files/{NO}/")
    assert "From version 1 to version 2" in files
    assert "-limit = 12" in files
    assert "+limit = 10" in files
    assert lead.get(f"/permits/file/1/{NO}/").content.decode() == TEXT


def test_everything_that_is_off_in_a_file_is_said_together_and_the_text_stays(lead):
    wrong = TEXT.replace("limit = 12", "limt = 12").replace('basis = "died"', 'basis = "dyed"')
    answer = lead.post("/permits/hand-in/", {"text": wrong})
    page = answer.content.decode()
    assert answer.status_code == 400
    assert "the nearest is &#39;limit&#39;" in page
    assert "there is no word &#39;dyed&#39;" in page
    assert "limt = 12" in page
    assert "Choose the permit&#x27;s file, or put its text below." in lead.post(
        "/permits/hand-in/", {"text": " "}
    ).content.decode().replace("&#39;", "&#x27;")
    binary = SimpleUploadedFile("a.toml", b"\xff\xfe\x00")
    assert "This is no text file" in lead.post("/permits/hand-in/", {"file": binary}).content.decode()
    assert PermitFile.objects.count() == 1


def test_a_paper_of_no_known_kind_is_refused_and_what_was_typed_stays(lead):
    scan = SimpleUploadedFile("permit.exe", b"MZ")
    answer = lead.post("/permits/keep/", {"text": TEXT + "\n# more\n", "why": "scanned", "paper": scan})
    assert answer.status_code == 400
    assert "of no kind that can be kept as a proof" in answer.content.decode()
    assert "scanned" in answer.content.decode()


def test_a_clause_needs_two_people_and_nobody_twice(lead, signed_in):
    changed = TEXT.replace("limit = 12", "limit = 10")
    lead.post("/permits/keep/", {"text": changed, "why": ""})
    assert confirm(lead, "2a").status_code == 302
    refused = confirm(lead, "2a")
    assert refused.status_code == 400
    assert "another person has to look too" in refused.content.decode()
    assert "You have; another person has to look too." in page_of(lead, f"/permits/clause/{NO}/?id=2a")
    old = store.clause_digest(clause_of("2b"))
    stale = confirm(signed_in("recorder"), "2a", digest=old)
    assert "changed while you looked at it" in stale.content.decode()
    assert confirm(signed_in("viewer"), "2a").status_code == 403
    confirm(signed_in("recorder"), "2a")
    assert len(clause_of("2a").confirmed_by) == 2
    assert "compared by 2 people" in page_of(lead, f"/permits/clause/{NO}/?id=2a")


def test_a_clause_is_added_by_form_and_the_rest_of_the_file_stays_as_it_was(lead):
    answer = lead.post(f"/permits/add/{NO}/?kind=limit", LIMIT)
    assert answer["Location"] == f"/permits/clause/{NO}/?id=2f"
    row = PermitFile.objects.get(number=2)
    assert row.text.startswith(TEXT)  # comments and all
    one = clause_of("2f")
    assert (one.limit, str(one.period), one.scope.taxa, one.on_reach.stop) == (
        2, "permit_year", ("lined-seahorse",), "taxon",
    )  # fmt: skip
    assert one.confirmed_by == ()
    assert "to confirm" in page_of(lead, f"/permit/{NO}/")


def test_what_is_off_in_a_clause_stands_beside_its_field(lead):
    wrong = {**LIMIT, "taxa": "cuner", "limit": "-1", "id": "2f"}
    answer = lead.post(f"/permits/add/{NO}/?kind=limit", wrong)
    page = answer.content.decode()
    assert answer.status_code == 400
    assert "“cuner” is not certain: cunner" in page
    assert "by letter of the agency" in page
    none = lead.post(f"/permits/add/{NO}/?kind=limit", {**LIMIT, "taxa": ""}).content.decode()
    assert "names no taxa" in none
    both = lead.post(f"/permits/add/{NO}/?kind=limit", {**LIMIT, "everything": "on"}).content.decode()
    assert "name exactly one of" in both
    taken = lead.post(f"/permits/add/{NO}/?kind=limit", {**LIMIT, "id": "2a"}).content.decode()
    assert "amend it on its own page" in taken
    percent = {**LIMIT, "percent": "101", "of": "captured", "min_n": ""}
    assert (
        "a percentage lies from 0 to 100"
        in lead.post(f"/permits/add/{NO}/?kind=percent", percent).content.decode()
    )
    hours = {"id": "9", "text": "By day.", "begins": "dawn", "ends": "19:00"}
    assert "sunset-00:30" in lead.post(f"/permits/add/{NO}/?kind=hours", hours).content.decode()
    assert PermitFile.objects.count() == 1


@pytest.mark.parametrize(
    ("kind", "said", "asks"),
    [
        ("notice", {"lead_h": "48", "to": "the warden", "receipt": "on"},
         "word to the warden at least 48 h before the first haul, and its receipt"),
        ("report", {"period": "permit_year", "days_after_end": "30", "month_day": ""},
         "report within 30 days of the end of a permit year"),
        ("gear", {"length_max_m": "50 ft", "mesh_min_mm": "3", "hauls_max": "4", "per": "day"},
         "net of at most 15.24 m, mesh of at least 3 mm and at most 4 sets a day"),
        ("hours", {"begins": "sunrise", "ends": "sunset-00:30"},
         "the whole haul between sunrise and 30 min before sunset"),
        ("prohibit", {"taxa": "Atlantic salmon", "basis": "retained", "stop": "none"}, "None may be kept."),
        ("percent", {"everything": "on", "basis": "died", "percent": "4", "of": "captured", "min_n": "20",
                     "period": "outing", "stop": "outing"}, "the outing ends"),
    ],
)  # fmt: skip
def test_the_common_kinds_of_clause_can_be_written_by_form(lead, kind, said, asks):
    answer = lead.post(f"/permits/add/{NO}/?kind={kind}", {"id": "9", "text": "Invented.", **said})
    assert answer.status_code == 302, answer.content.decode()
    assert asks in page_of(lead, f"/permits/clause/{NO}/?id=9")


def test_an_amendment_is_a_version_of_its_own_and_the_one_before_stays_confirmed(lead, signed_in):
    lead.post(f"/permits/add/{NO}/?kind=limit", LIMIT)
    for client in (lead, signed_in("recorder")):
        confirm(client, "2f")
    assert len(clause_of("2f").confirmed_by) == 2
    form = page_of(lead, f"/permits/add/{NO}/?amend=2f")
    assert "lined-seahorse" in form
    without = lead.post(f"/permits/add/{NO}/?amend=2f", {**LIMIT, "limit": "1"})
    assert without.status_code == 400  # from when?
    lead.post(f"/permits/add/{NO}/?amend=2f", {**LIMIT, "limit": "1", "effective_from": "2026-12-01"})
    assert clause_of("2f", 2).limit == 1
    assert clause_of("2f", 2).confirmed_by == ()
    assert len(clause_of("2f", 1).confirmed_by) == 2
    page = page_of(lead, f"/permits/clause/{NO}/?id=2f")
    assert "30 November 2026" in page  # the last day of version 1
    assert "from 1 December 2026 on" in page
    assert Confirmation.objects.filter(clause="2f").count() == 2


def test_a_permit_begins_by_form_and_its_number_is_taken_once(lead):
    heading = {
        "no": "NP 27/4", "holder": "the station (invented)", "zone": "America/New_York",
        "valid_from": "2026-04-01", "valid_to": "2027-03-31", "year_start": "", "people": "p1 p3",
    }  # fmt: skip
    answer = lead.post("/permits/new/?kind=limit", {**heading, **LIMIT})
    assert answer["Location"] == "/permit/NP%2027/4/"
    assert "None yet" not in page_of(lead, "/permit/NP%2027/4/")
    assert "Lined seahorse: two (2)" in page_of(lead, "/permit/NP%2027/4/?clause=2f")
    again = lead.post("/permits/new/?kind=limit", {**heading, **LIMIT, "zone": "America/New_Yrk"})
    assert again.status_code == 400
    assert "is here already" in again.content.decode()
    assert "the nearest is" in again.content.decode()


def test_a_proof_that_no_paper_names_is_not_given(lead):
    assert lead.get(f"/permits/proof/{'0' * 64}/").status_code == 404


def test_only_the_lead_changes_permits(signed_in):
    recorder = signed_in("recorder")
    assert recorder.get(f"/permit/{NO}/").status_code == 200
    for address in ("/permits/hand-in/", "/permits/new/", f"/permits/add/{NO}/"):
        assert recorder.get(address).status_code == 403
        assert recorder.post(address, {}).status_code == 403
    assert signed_in("").get("/permits/").status_code == 302


def test_steps_rise_to_the_sum_and_what_is_only_possible_is_drawn_apart():
    from datetime import date

    points = [Point(date(2026, 5, 1), 2, 2), Point(date(2026, 6, 1), 1, 3)]
    drawn = steps(points, 5, date(2026, 4, 1), date(2027, 3, 31), date(2026, 7, 1), "three & more")
    assert drawn.count('class="dot"') == 2
    assert 'class="possible"' in drawn
    assert "limit 5" in drawn
    assert "three &amp; more" in drawn
    far = strokes(points, 3000, date(2026, 4, 1), date(2027, 3, 31), "few")
    assert "limit 3000, far above" in far
