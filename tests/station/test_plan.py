"""Plan: a month of tides, a plan with its versions, papers, calendar and paper; what is off stands beside its field."""

from __future__ import annotations

from datetime import date

import pytest

from haulbook.station.models import EntryRow, PlanVersion
from haulbook.station.store import plans

pytestmark = pytest.mark.django_db

BUCKETS = {
    "buckets-TOTAL_FORMS": "2", "buckets-INITIAL_FORMS": "0",
    "buckets-MIN_NUM_FORMS": "0", "buckets-MAX_NUM_FORMS": "24",
    "buckets-0-place": "bucket 1", "buckets-0-purpose": "keep", "buckets-0-litres": "14", "buckets-0-air_per_h": "3",
    "buckets-1-purpose": "keep",
}  # fmt: skip
PLAN = {
    "site": "sallowhorn-cove", "date": "2027-05-21", "hauls": "3", "permits": ["SC-24-031"], "nets": ["n1"],
    "crew": ["p1", "p3"], "people_present": "6", "looked_for": "cunner\nnorthern pipefish", **BUCKETS,
}  # fmt: skip


def test_a_month_ranks_its_windows_and_says_what_stands_against_them(lead):
    page = lead.get("/plan/?month=2026-10").content.decode()
    assert "October 2026" in page
    assert "The holder gives notice at least 24 hours before each outing" in page
    assert page.count("<tr") >= 31


def test_a_month_that_cannot_be_read_is_said_beside_its_field(lead):
    answer = lead.get("/plan/?month=soon")
    assert answer.status_code == 400
    assert "Write the month as 2027-05." in answer.content.decode()


def test_a_year_that_no_tide_is_predicted_for_is_refused_in_words(lead):
    answer = lead.get("/plan/?month=2999-01")
    assert answer.status_code == 400
    assert "2999" in answer.content.decode()


def test_a_plan_gets_the_days_next_free_letter_and_is_judged(lead):
    assert lead.post("/plan/new/", PLAN)["Location"] == "/plan/2027-05-21-a/"
    assert lead.post("/plan/new/", PLAN)["Location"] == "/plan/2027-05-21-b/"
    page = lead.get("/plan/2027-05-21-a/").content.decode()
    assert "Plan of 21 May 2027" in page
    assert "No-go" in page  # the invented permit ends on 31 March 2027
    plan = plans.read(plans.of_outing("2027-05-21-a"))
    assert (plan.date, plan.looked_for) == (date(2027, 5, 21), ("cunner", "northern-pipefish"))
    assert [(one.place, one.litres, one.air_per_h) for one in plan.buckets] == [("bucket 1", 14.0, 3.0)]


def test_what_is_off_in_a_plan_is_said_together_and_nothing_is_cleared(lead):
    wrong = {
        **PLAN, "people_present": "1", "looked_for": "cuner\nblorf", "buckets-1-place": "tub 9",
        "buckets-0-litres": "", "note": "with the class",
    }  # fmt: skip
    answer = lead.post("/plan/new/", wrong)
    page = answer.content.decode()
    assert answer.status_code == 400
    assert "“cuner” is not certain: cunner" in page
    assert "Write bucket 1 or cooler 1." in page
    assert "How much water is in it?" in page
    assert "with the class" in page
    assert not PlanVersion.objects.exists()
    mended = {**wrong, "looked_for": "", "buckets-1-place": "", "buckets-0-litres": "14"}
    page = lead.post("/plan/new/", mended).content.decode()
    assert "people_present" in page  # six people at the beach cannot be fewer than its crew of two
    assert not PlanVersion.objects.exists()


def test_a_change_is_a_new_version_and_a_day_is_not_changed(lead):
    lead.post("/plan/new/", PLAN)
    lead.post("/plan/2027-05-21-a/change/", {**PLAN, "hauls": "2", "note": "fewer hands"})
    assert [row.number for row in PlanVersion.objects.order_by("number")] == [1, 2]
    assert "fewer hands" in lead.get("/plan/2027-05-21-a/").content.decode()
    moved = lead.post("/plan/2027-05-21-a/change/", {**PLAN, "date": "2027-05-22"})
    assert "drop this plan and plan the other day" in moved.content.decode()


def test_a_dropped_plan_stands_in_no_list_and_its_key_is_not_given_again(lead):
    lead.post("/plan/new/", PLAN)
    lead.post("/plan/2027-05-21-a/drop/")
    assert lead.get("/plan/2027-05-21-a/").status_code == 404
    assert lead.post("/plan/new/", PLAN)["Location"] == "/plan/2027-05-21-b/"


def test_a_notice_that_was_sent_is_an_entry_of_the_book(lead):
    lead.post("/plan/new/", PLAN)
    lead.post("/plan/2027-05-21-a/paper/", {"permit": "SC-24-031", "clause": "7", "act": "notice-sent"})
    row = EntryRow.objects.filter(kind="paper").latest("position")
    assert (row.by, row.outing, row.device) == ("p1", None, "desk")
    refused = lead.post("/plan/2027-05-21-a/paper/", {"permit": "other", "act": "notice-sent"})
    assert refused.status_code == 400


def test_a_plan_goes_into_a_calendar_and_onto_paper(lead):
    lead.post("/plan/new/", {**PLAN, "date": "2026-10-05"})
    calendar = lead.get("/plan/2026-10-05-a/calendar.ics")
    assert calendar["Content-Type"].startswith("text/calendar")
    assert b"BEGIN:VEVENT" in calendar.content
    pytest.importorskip("typst", reason="paper needs the extra reports")
    assert lead.get("/plan/2026-10-05-a/plan.pdf?paper=letter").content.startswith(b"%PDF")


def test_only_the_lead_plans(signed_in):
    recorder = signed_in("recorder")
    assert recorder.get("/plan/").status_code == 200
    assert recorder.get("/plan/new/").status_code == 403
    assert recorder.post("/plan/new/", PLAN).status_code == 403
