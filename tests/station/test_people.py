"""Coming in: set-up, signing in, links that work once, passwords, what slows down those who guess."""

from __future__ import annotations

import re

import pytest
from django.test import Client

from haulbook.station.models import Change, OneTime, Person, Settings, SignInTry
from haulbook.station.people import accounts, one_time
from haulbook.station.people.roles import Role

pytestmark = pytest.mark.django_db


@pytest.fixture
def recorder(db) -> Person:
    person = Person.objects.get(login="recorder-p3")
    return accounts.open_account(person, "recorder-p3", Role.RECORDER, "a long enough one", "p1")


def test_who_is_not_signed_in_is_sent_to_the_sign_in_page_and_back(recorder):
    client = Client()
    first = client.get("/password/")
    assert (first.status_code, first["Location"]) == (302, "/sign-in/?next=%2Fpassword%2F")
    said = {"login": "recorder-p3", "password": "a long enough one"}
    second = client.post(first["Location"], said)
    assert (second.status_code, second["Location"]) == (302, "/password/")


def test_a_sign_in_never_leads_away_from_the_station(recorder):
    said = {"login": "recorder-p3", "password": "a long enough one", "next": "https://elsewhere.example/"}
    assert Client().post("/sign-in/", said)["Location"] == "/"


def test_a_wrong_password_keeps_the_login_and_does_not_say_which_was_wrong(recorder):
    answer = Client().post("/sign-in/", {"login": "recorder-p3", "password": "another one"})
    page = answer.content.decode()
    assert answer.status_code == 400
    assert "Login and password do not go together" in page
    assert "recorder-p3" in page
    assert "another one" not in page


def test_five_misses_slow_a_login_down_and_a_sign_in_elsewhere_is_not_slowed(recorder):
    client = Client()
    for _ in range(5):
        client.post("/sign-in/", {"login": "recorder-p3", "password": "guess"})
    slow = client.post("/sign-in/", {"login": "recorder-p3", "password": "a long enough one"})
    assert slow.status_code == 429
    assert "Wait a quarter of an hour" in slow.content.decode()
    other = Client(REMOTE_ADDR="10.0.0.9").post(
        "/sign-in/", {"login": "recorder-p3", "password": "a long enough one"}
    )
    assert other.status_code == 302


def test_getting_in_forgets_the_misses(recorder):
    client = Client()
    client.post("/sign-in/", {"login": "recorder-p3", "password": "guess"})
    client.post("/sign-in/", {"login": "recorder-p3", "password": "a long enough one"})
    assert not SignInTry.objects.filter(login="recorder-p3").exists()


def test_a_link_signs_in_once():
    lead = Person.objects.get(login="lead-p1")
    code = one_time.make(one_time.SIGN_IN, person=lead)
    client = Client()
    assert client.get(f"/enter/{code}/")["Location"] == "/"
    assert client.get("/password/").status_code == 200
    again = Client().get(f"/enter/{code}/")
    assert again.status_code == 400
    assert "it works once" in again.content.decode()


def test_a_link_that_a_command_printed_works_on_this_machine_only():
    code = one_time.make(one_time.SIGN_IN, person=Person.objects.get(login="lead-p1"))
    away = Client(REMOTE_ADDR="10.0.0.9")
    assert away.get(f"/enter/{code}/").status_code == 200  # looked at, not used up
    refused = away.post(f"/enter/{code}/")
    assert refused.status_code == 400
    assert "own machine only" in refused.content.decode()


def test_only_the_digest_of_a_code_is_stored():
    code = one_time.make(one_time.DEVICE)
    assert re.fullmatch(r"[2-9a-z]{4}-[2-9a-z]{4}-[2-9a-z]{4}", code)
    assert not OneTime.objects.filter(digest=code).exists()


def test_set_up_asks_for_everything_at_once_and_clears_nothing():
    Settings.objects.all().delete()
    code = one_time.make(one_time.SET_UP)
    said = {
        "name": "A cove station",
        "pack": "nwatlantic",
        "zone": "Mars/North",
        "login": "lead",
        "password": "short",
    }
    page = Client().post(f"/set-up/{code}/", said)
    text = page.content.decode()
    assert page.status_code == 400
    assert "There is no zone of that name" in text
    assert "at least 10 characters" in text
    assert "A cove station" in text
    assert not Settings.objects.exists()


def test_set_up_names_the_station_and_opens_the_first_account_once():
    Settings.objects.all().delete()
    Person.objects.all().delete()
    code = one_time.make(one_time.SET_UP)
    said = {
        "name": "A cove station", "pack": "nepacific", "zone": "America/Los_Angeles", "login": "lead",
        "password": "three wet gloves",
    }  # fmt: skip
    client = Client()
    assert client.post(f"/set-up/{code}/", said)["Location"] == "/"
    assert Settings.objects.get().pack == "nepacific"
    assert Person.objects.get().access == Role.LEAD
    assert Change.objects.filter(what="settings", after__name="A cove station").exists()
    again = Client().post(f"/set-up/{code}/", said)
    assert again.status_code == 400
    assert "set up already" in again.content.decode()


def test_a_closed_account_is_out_at_once(recorder):
    client = Client()
    client.force_login(recorder)
    assert client.get("/password/").status_code == 200
    recorder.is_active = False
    recorder.save()
    assert client.get("/password/").status_code == 302


def test_passwords_are_hashed_with_argon2(recorder):
    assert recorder.password.startswith("argon2")


def test_a_new_password_asks_for_the_old_one(recorder):
    client = Client()
    client.force_login(recorder, backend="haulbook.station.people.accounts.ByLogin")
    wrong = client.post("/password/", {"old": "not that", "new": "another long one"})
    assert wrong.status_code == 400
    assert "not the password until now" in wrong.content.decode()
    right = client.post("/password/", {"old": "a long enough one", "new": "another long one"})
    assert right.status_code == 302
    assert client.get("/password/").status_code == 200  # the session goes on
    assert Person.objects.get(pk=recorder.pk).check_password("another long one")


def test_the_theme_is_kept_and_an_unknown_one_is_not(client):
    assert client.post("/theme/", {"theme": "sun", "next": "/sign-in/"}).cookies["theme"].value == "sun"
    assert client.post("/theme/", {"theme": "neon"}).cookies["theme"].value == ""


def test_every_answer_carries_the_policy_and_no_page_is_kept_by_the_browser(client):
    answer = client.get("/sign-in/")
    assert "script-src 'self'" in answer["Content-Security-Policy"]
    assert "unsafe" not in answer["Content-Security-Policy"]
    assert answer["Cache-Control"] == "no-store"
    assert answer["X-Frame-Options"] == "DENY"


def test_a_form_without_its_token_is_answered_in_words(recorder):
    client = Client(enforce_csrf_checks=True)
    answer = client.post("/sign-in/", {"login": "recorder-p3", "password": "a long enough one"})
    assert answer.status_code == 403
    assert "load the page again" in answer.content.decode()


def test_an_address_that_leads_nowhere_says_so(client):
    answer = client.get("/no/such/page/")
    assert answer.status_code == 404
    assert "No page has this address" in answer.content.decode()
    asked = client.get("/no/such/page/", headers={"accept": "application/json"})
    assert asked.json()["problems"][0]["message"] == "No page has this address."
