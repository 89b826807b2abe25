"""The lead's page of phones and tablets."""

from __future__ import annotations

import re

import pytest

from haulbook.custody.entry import Draft, chain
from haulbook.station import clock
from haulbook.station.models import Device, OneTime, Person
from haulbook.station.people import devices
from haulbook.station.store import book
from haulbook.station.store.writing import writing

pytestmark = pytest.mark.django_db


def enrolled(label="the orange one", person="p3"):
    who = Person.objects.filter(key=person).first()
    return devices.enrol(devices.invite(who, label, "p1"))[0]


def wrote(device, numbers):
    drafts = [
        Draft(
            book.new_id(clock.now()),
            "2026-09-27T08:00:00Z",
            "2026-09-27T08:00:00Z",
            "p3",
            None,
            "remark",
            {"text": "x"},
        )
        for _ in range(max(numbers))
    ]
    entries = chain(drafts, device.key)
    with writing():
        book.add([entries[n - 1] for n in numbers], clock.now())


def code_on(page: str) -> str:
    return re.search(r'<p class="code">([a-z0-9-]+)</p>', page)[1]


def test_an_empty_page_says_what_will_stand_there(lead):
    page = lead.get("/devices/").content.decode()
    assert "No device yet." in page
    assert "Make a code" in page


def test_a_code_is_shown_once_as_text_and_to_a_camera(lead):
    answer = lead.post("/devices/", {"label": "the orange one", "person": Person.objects.get(key="p3").pk})
    assert (answer.status_code, answer["Location"]) == (302, "/devices/")
    page = lead.get("/devices/").content.decode()
    code = code_on(page)
    assert "Enrol the orange one" in page
    assert "<svg" in page
    assert "style=" not in page
    assert "Code to point a phone" in page
    again = lead.get("/devices/").content.decode()
    assert code not in again
    device, _ = devices.enrol(code)
    assert (device.label, device.person.key, device.enrolled_by) == ("the orange one", "p3", "p1")
    assert "the orange one" in lead.get("/devices/").content.decode()


def test_the_drawn_code_leads_to_the_page_with_the_code_behind_the_sign(lead, monkeypatch):
    """Behind the # it is sent to no server and stands in no log."""
    import segno

    drawn = []
    make = segno.make
    monkeypatch.setattr(segno, "make", lambda words, **more: drawn.append(words) or make(words, **more))
    lead.post("/devices/", {"label": "a", "person": ""}, headers={"host": "localhost"})
    code = code_on(lead.get("/devices/", headers={"host": "localhost"}).content.decode())
    assert drawn == [f"http://localhost/shore/#enrol={code}"]


def test_a_code_for_this_machine_only_says_so(lead, settings):
    lead.post("/devices/", {"label": "a", "person": ""}, headers={"host": "localhost"})
    assert (
        "works on this machine only" in lead.get("/devices/", headers={"host": "localhost"}).content.decode()
    )


def test_from_this_machine_the_code_names_the_address_that_phones_reach(lead, settings):
    settings.CSRF_TRUSTED_ORIGINS = ["http://localhost:8427", "http://192.168.4.2:8427"]
    lead.post("/devices/", {"label": "a", "person": ""}, headers={"host": "localhost"})
    page = lead.get("/devices/", headers={"host": "localhost"}).content.decode()
    assert "http://192.168.4.2:8427/shore/" in page
    assert "No HTTPS at this address." in page


def test_through_https_nothing_is_warned_of(lead, settings):
    settings.ALLOWED_HOSTS = ["station.example.org"]
    lead.post("/devices/", {"label": "a", "person": ""}, headers={"host": "station.example.org"}, secure=True)
    page = lead.get("/devices/", headers={"host": "station.example.org"}, secure=True).content.decode()
    assert "https://station.example.org/shore/" in page
    assert "No HTTPS" not in page
    assert "this machine only" not in page


def test_an_invitation_without_a_name_is_asked_for_one_and_makes_no_code(lead):
    before = OneTime.objects.count()
    answer = lead.post("/devices/", {"label": "", "person": ""})
    assert answer.status_code == 400
    assert "thing to mend" in answer.content.decode()
    assert OneTime.objects.count() == before


def test_the_list_says_what_came_in_and_what_is_missing(lead):
    device = enrolled()
    wrote(device, [1, 2, 5])
    Device.objects.filter(pk=device.pk).update(clock_off_s=-600.0)
    page = re.sub(r"\s+", " ", lead.get("/devices/").content.decode())
    assert re.search(r'data-label="lines here"[^>]*>\s*3\s*<', page)
    assert re.search(r'data-label="missing".*?badge near.*?2', page)
    assert "10 min behind" in page


def test_a_device_is_turned_away_and_let_back(lead):
    device = enrolled()
    answer = lead.post(f"/devices/{device.key}/revoke/")
    assert answer.status_code == 302
    device.refresh_from_db()
    since = device.revoked_at
    assert since
    lead.post(f"/devices/{device.key}/revoke/")
    device.refresh_from_db()
    assert device.revoked_at == since, "turning away twice is the same as once"
    page = lead.get("/devices/").content.decode()
    assert "is turned away" in page
    assert "Let it come back" in page
    lead.post(f"/devices/{device.key}/again/")
    back, _ = devices.enrol(code_on(lead.get("/devices/").content.decode()), device.key)
    assert (back.pk, back.revoked_at) == (device.pk, None)


def test_a_device_that_is_not_there_is_said_so(lead):
    answer = lead.post("/devices/d99/revoke/")
    assert answer.status_code == 404
    assert "no device d99" in answer.content.decode()


def test_the_page_takes_as_many_queries_for_twenty_devices_as_for_two(lead, django_assert_max_num_queries):
    for n in range(2):
        wrote(enrolled(f"phone {n}"), [1])
    with django_assert_max_num_queries(12):
        lead.get("/devices/")
    for n in range(18):
        wrote(enrolled(f"phone {n}"), [1])
    with django_assert_max_num_queries(12):
        lead.get("/devices/")
