"""Reports: as they would be sent, nil returns, signed, sent with a proof, and amended after a late death."""

from __future__ import annotations

import io
import json
import re
from hashlib import sha256

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from openpyxl import load_workbook

from haulbook.station.models import LayoutFile, StoredFile
from haulbook.station.store import book, readings, reports, standings

pytestmark = pytest.mark.django_db

NO = "SC-24-031"
YEAR = "first=2025-04-01&last=2026-03-31"
ADDRESS = f"/report/{NO}/?{YEAR}"
LAYOUT = """
title = "Invented counts"
row = "summary"
group_by = ["taxon_common"]
parts = ["Count"]
[[column]]
header = "Kind"
from = "taxon_common"
[[column]]
header = "Count"
expr = "sum(n_captured)"
"""


@pytest.fixture(autouse=True)
def _today(settings):
    settings.HAULBOOK_NOW = "2026-11-25T12:00:00+00:00"


def page_of(client, address, status=200):
    answer = client.get(address)
    assert answer.status_code == status, answer.content.decode()
    return answer.content.decode()


def sign(client, query=YEAR):
    page = page_of(client, f"/report/{NO}/?{query}")
    digest = re.search(r'name="digest" value="(\w+)"', page)[1]
    return client.post(f"/reports/sign/{NO}/?{query}", {"digest": digest})


def send(client, address, name="mail.eml", content=b"To: the agency", act="sent", at="2026-11-25T07:00"):
    handed = {f"{act}-at": at, f"{act}-proof": SimpleUploadedFile(name, content)}
    return client.post(f"{address}{act}/", handed)


def a_late_death(year="2025"):
    held = next(one for one in readings.tanks().holdings if one.haul.startswith(year))
    line = {"from": f"{held.tank}", "to": "dead-kept", "taxon": held.taxon, "n": 1, "haul": held.haul}
    if held.stage:
        line["stage"] = held.stage
    book.write([book.Wanted("move", {"lines": [line]})], "p1", "America/New_York")
    return held


def test_a_report_adds_up_and_says_what_was_found(lead):
    page = page_of(lead, ADDRESS)
    assert "adds up" in page
    assert "1 April 2025 to 31 March 2026" in page
    assert "I certify that this report is complete" in page
    assert "Clause 2a: 12 of 12 retained" in page
    assert page.count("<tr") < 120  # a part of a long table at a time
    assert page_of(lead, f"{ADDRESS}&whole=1").count("<tr") > 800
    assert "part 2 of" in page_of(lead, f"{ADDRESS}&t0=2")


def test_its_files_hold_what_the_page_shows(lead):
    made = reports.MadeReport.of_text(json.dumps(_content(lead)))
    book_ = load_workbook(io.BytesIO(lead.get(f"/reports/take/xlsx/{NO}/?{YEAR}").content))
    assert book_.sheetnames[:2] == ["animals-detail", "species-summary"]
    summary = book_["species-summary"]
    column = [cell.value for cell in summary[1]].index("Number")
    total = sum(row[column].value for row in summary.iter_rows(min_row=2))
    assert total == made.captured
    csv = lead.get(f"/reports/take/csv/{NO}/?{YEAR}&table=species-summary")
    assert csv["Content-Disposition"].endswith('species-summary.csv"')
    assert csv.content.decode().startswith("Species,Number\r\n")


def _content(lead):
    address = sign(lead)["Location"]
    return json.loads(lead.get(f"{address}json/").content)


def test_days_without_a_haul_make_a_nil_return_that_can_be_signed(lead):
    page = page_of(lead, f"/report/{NO}/?first=2025-01-01&last=2025-01-31")
    assert "A nil return: nothing was caught in these days." in page
    assert "No haul was made." in page
    assert "No activity" in page
    assert sign(lead, "first=2025-01-01&last=2025-01-31").status_code == 302


def test_what_is_asked_wrongly_is_said_beside_its_field(lead):
    turned = page_of(lead, f"/report/{NO}/?days=own&first=2025-05-01&last=2025-04-01", 400)
    assert "The last day lies before the first; turn them round." in turned
    assert "Write the first and the last day." in page_of(lead, f"/report/{NO}/?days=own", 400)
    assert page_of(lead, f"{ADDRESS}&layout=nosuch", 400)
    assert "There is no permit XX." in page_of(lead, "/report/XX/", 404)


def test_a_report_is_signed_sent_answered_and_amended_after_a_late_death(lead):
    address = sign(lead)["Location"]
    digest = address.rstrip("/").rpartition("/")[2]
    cover = lead.get(f"{address}cover/").content
    assert sha256(cover).hexdigest() == digest  # what was signed is what is given
    content = lead.get(f"{address}json/").content
    assert json.loads(cover)["content"] == sha256(content).hexdigest()
    paper = standings.papers()[-1]
    assert (paper.act, paper.digest, paper.clause, paper.by) == ("report-signed", digest, "8", "p1")
    early = send(lead, address, act="receipt")
    assert "not marked as sent yet" in early.content.decode()
    assert send(lead, address).status_code == 302
    paper = standings.papers()[-1]
    assert (paper.act, paper.digest, paper.clause) == ("report-sent", digest, "8")
    assert paper.sha256 == sha256(b"To: the agency").hexdigest()
    assert lead.get(f"/permits/proof/{paper.sha256}/").content == b"To: the agency"
    assert paper.at.text == "2026-11-25T07:00:00-05:00"
    assert send(lead, address, "answer.txt", b"received", act="receipt").status_code == 302
    assert "receipt came" in page_of(lead, address)

    other = page_of(lead, f"{ADDRESS}&layout=kept-and-discarded")
    assert "No number changed since it was sent" in other
    held = a_late_death()
    page = page_of(lead, ADDRESS)
    assert "changed since it was sent" in page
    assert held.haul in page
    assert "died after leaving the beach" in page
    assert "Sign the amended report" in page
    amended = sign(lead)["Location"]
    page = page_of(lead, amended)
    assert "Amended report 1" in page
    assert "What differs from version 1, sent before" in page
    assert lead.get(f"{address}json/").content == content  # the sent one stays as it was
    assert "A later version stands:" in page_of(lead, address)
    listed = page_of(lead, "/reports/")
    assert digest[:12] in listed
    assert "Amended report 1" in listed


def test_what_was_not_looked_at_is_not_signed(lead):
    page = page_of(lead, ADDRESS)
    digest = re.search(r'name="digest" value="(\w+)"', page)[1]
    a_late_death()
    before = len(standings.papers())
    answer = lead.post(f"/reports/sign/{NO}/?{YEAR}", {"digest": digest})
    assert answer.status_code == 400
    assert "changed while you looked at it" in answer.content.decode()
    assert len(standings.papers()) == before


def test_the_same_report_is_not_signed_twice(lead):
    sign(lead)
    page = page_of(lead, ADDRESS)
    assert "The signed version" in page
    assert "Sign the report" not in page


def test_a_proof_is_needed_and_lies_not_ahead(lead):
    address = sign(lead)["Location"]
    ahead = send(lead, address, at="2026-12-25T06:30")
    assert ahead.status_code == 400
    assert "This lies ahead; write it down when it is done." in ahead.content.decode()
    before = send(lead, address, at="2026-11-25T06:30")
    assert "before this version was signed" in before.content.decode()
    kind = send(lead, address, "proof.exe")
    assert "of no kind that can be kept as a proof" in kind.content.decode()
    empty = send(lead, address, content=b"")
    assert empty.status_code == 400
    assert standings.papers()[-1].act == "report-signed"


def test_a_layout_of_the_stations_own_stands_beside_the_others(lead):
    handed = {"file": SimpleUploadedFile("invented-counts.toml", LAYOUT.encode())}
    assert lead.post("/reports/layout/", handed)["Location"] == "/reports/"
    assert "invented-counts" in page_of(lead, "/reports/")
    page = page_of(lead, f"{ADDRESS}&layout=invented-counts")
    assert "Invented counts" in page
    assert "adds up" in page


def test_a_layout_that_cannot_add_up_is_refused_with_its_reason(lead):
    wrong = LAYOUT.replace("sum(n_captured)", "sum(n_retained_alive)").replace('"summary"', '"sumary"')
    handed = {"file": SimpleUploadedFile("wrong.toml", wrong.encode())}
    answer = lead.post("/reports/layout/", handed)
    assert answer.status_code == 400
    assert "the nearest is &#39;summary&#39;" in answer.content.decode()
    handed = {"file": SimpleUploadedFile("wrong.toml", wrong.replace("sumary", "summary").encode())}
    assert lead.post("/reports/layout/", handed).status_code == 400
    assert not LayoutFile.objects.exists()


def test_a_report_is_made_once_and_then_asks_little(lead, django_assert_max_num_queries):
    lead.get(ADDRESS)
    with django_assert_max_num_queries(26):
        lead.get(ADDRESS)
    lead.get("/reports/")
    with django_assert_max_num_queries(24):
        lead.get("/reports/")


def test_only_the_lead_signs_and_everybody_reads(signed_in):
    keeper = signed_in("keeper")
    assert keeper.get(ADDRESS).status_code == 200
    assert "Sign the report" not in page_of(keeper, ADDRESS)
    assert keeper.post(f"/reports/sign/{NO}/?{YEAR}", {"digest": "x"}).status_code == 403
    assert not StoredFile.objects.filter(name__startswith="report-").exists()
