"""Every address and method of the station, asked by every role and without an account.

``EXPECTED`` is typed here and taken from no code: who may do what at a station is decided in this table. An address
that is not in it fails.
"""

from __future__ import annotations

import re
from urllib.parse import urlencode

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import get_resolver, reverse

from haulbook.station.models import BringIn, EntryRow, Person
from haulbook.station.people import devices
from haulbook.station.store import plans, readings

pytestmark = pytest.mark.django_db

ROLES = ("lead", "recorder", "keeper", "viewer")
NOBODY = ""
ALL = ("anyone",)
IN = ROLES
LEAD = ("lead",)
TALLY = ("lead", "recorder")
KEEPING = ("lead", "keeper")
CREW = ("lead", "recorder", "keeper")
PHONE = ("device",)

EXPECTED = {
    # coming in
    "sign-in": {"GET": ALL, "POST": ALL},
    "sign-out": {"POST": ALL},
    "enter": {"GET": ALL, "POST": ALL},
    "set-up": {"GET": ALL, "POST": ALL},
    "set-up-needed": {"GET": ALL},
    "password": {"GET": IN, "POST": IN},
    "theme": {"POST": ALL},
    "tokens": {"GET": ALL},
    # reading
    "home": {"GET": IN},
    "season": {"GET": IN},
    "search": {"GET": IN},
    "patterns": {"GET": IN},
    "help": {"GET": ALL},
    "open": {"GET": ALL},
    "help-page": {"GET": ALL},
    # phones
    "devices": {"GET": LEAD, "POST": LEAD},
    "device-again": {"POST": LEAD},
    "device-revoke": {"POST": LEAD},
    "shore": {"GET": ALL},
    "shore-file": {"GET": ALL},
    "shore-enrol": {"POST": ALL},
    "shore-kits": {"GET": PHONE},
    "shore-kit": {"GET": PHONE},
    "shore-sync": {"POST": PHONE},
    "shore-picture": {"POST": PHONE},
    "openapi": {"GET": ALL},
    # sheets
    "transcribe": {"GET": IN, "POST": TALLY},
    "transcribe-outing": {"GET": IN},
    "tally-sheet": {"GET": IN},
    "tally-sheets": {"GET": IN},
    "begin-typing": {"POST": TALLY},
    "take-over-typing": {"POST": TALLY},
    "settle-sheet": {"GET": TALLY, "POST": TALLY},
    "typing": {"GET": TALLY, "POST": TALLY},
    "bring-in": {"GET": IN, "POST": TALLY},
    "bring-in-columns": {"GET": TALLY, "POST": TALLY},
    "bring-in-questions": {"GET": TALLY, "POST": TALLY},
    "bring-in-check": {"GET": TALLY, "POST": TALLY},
    # outings
    "outings": {"GET": IN},
    "outing": {"GET": IN},
    "settle": {"GET": IN, "POST": TALLY},
    "outing-calls": {"GET": IN},
    "outing-entry": {"GET": IN, "POST": TALLY},
    "outing-add": {"GET": TALLY},
    "outing-add-one": {"GET": TALLY, "POST": TALLY},
    "open-outing": {"POST": TALLY},
    "close-outing": {"POST": TALLY},
    "reopen-outing": {"POST": TALLY},
    "sign-outing": {"GET": IN, "POST": LEAD},
    "outing-differences": {"GET": IN},
    "outing-account": {"GET": IN},
    "outing-photos": {"GET": IN},
    "picture": {"GET": IN},
    # plans
    "plan": {"GET": IN},
    "new-plan": {"GET": LEAD, "POST": LEAD},
    "plan-outing": {"GET": IN},
    "change-plan": {"GET": LEAD, "POST": LEAD},
    "drop-plan": {"POST": LEAD},
    "plan-paper": {"POST": LEAD},
    "plan-calendar": {"GET": IN},
    "plan-print": {"GET": IN},
    # what stays
    "gear": {"GET": IN},
    "station": {"GET": IN},
    "settings": {"GET": LEAD, "POST": LEAD},
    "new-thing": {"GET": LEAD, "POST": LEAD},
    "account": {"POST": LEAD},
    "thing": {"GET": IN, "POST": LEAD},
    # permits
    "permits": {"GET": IN},
    "permit": {"GET": IN},
    "permit-hand-in": {"GET": LEAD, "POST": LEAD},
    "permit-keep": {"POST": LEAD},
    "new-permit": {"GET": LEAD, "POST": LEAD},
    "new-clause": {"GET": LEAD, "POST": LEAD},
    "permit-files": {"GET": IN},
    "permit-file": {"GET": IN},
    "permit-paper": {"POST": LEAD},
    "permit-clause": {"GET": IN},
    "permit-confirm": {"POST": CREW},
    "proof": {"GET": IN},
    # reports to agencies
    "reports": {"GET": IN},
    "report": {"GET": IN},
    "report-file": {"GET": IN},
    "report-sign": {"POST": LEAD},
    "report-sent": {"POST": LEAD},
    "report-receipt": {"POST": LEAD},
    "report-version": {"GET": IN},
    "report-version-file": {"GET": IN},
    "layout-hand-in": {"POST": LEAD},
    # what is kept
    "kept": {"GET": IN},
    "tank": {"GET": IN},
    "tank-write": {"POST": KEEPING},
    "acclimate": {"GET": IN},
    "what-kills": {"GET": IN},
    "tank-cards": {"GET": IN},
    "tank-settle": {"GET": IN, "POST": KEEPING},
    "tank-line": {"GET": IN, "POST": KEEPING},
    "lot-story": {"GET": IN},
    # what the bed holds
    "bed": {"GET": IN},
    "bed-table": {"GET": IN},
    # names
    "which-one": {"GET": IN},
    "look-alikes": {"GET": IN},
}
PLANNED = "2027-05-14-a"
WORDS = {
    "outing": "2026-09-11-a",
    "key": "p1",
    "code": "no-such-code",
    "path": "tutorial/first-season",
    "file": "shell.json",
    "haul": 1,
    "number": 1,
    "what": "person",
    "tank": "q1",
    "no": "SC-24-031",
    "digest": "0" * 64,
    "sha256": "0" * 64,
    "form": "csv",
}
"""Example words of addresses, of the invented season."""
WORDS_OF = {
    "plan-outing": {"outing": PLANNED},
    "change-plan": {"outing": PLANNED},
    "drop-plan": {"outing": PLANNED},
    "plan-paper": {"outing": PLANNED},
    "plan-calendar": {"outing": PLANNED},
    "plan-print": {"outing": PLANNED},
    "transcribe-outing": {"outing": PLANNED},
    "outing-add-one": {"what": "remark"},
    "new-thing": {"what": "net"},
    "tank-write": {"what": "check"},
}
QUERY_OF = {"permit-clause": {"id": "2a"}}
NOT_THERE = {
    "open",
    "enter",
    "set-up",
    "settle-sheet",
    "typing",
    "proof",
    "picture",
    "report-version",
    "report-version-file",
}
"""Where the example words lead nowhere: codes, sheets, reports and photos that nobody made."""


def every_route():
    return {pattern.name: pattern for pattern in get_resolver().url_patterns}


def parts(urls=None):
    """All patterns, included ones too: nothing hides from the table in a folder of its own."""
    for one in (urls or get_resolver()).url_patterns:
        if hasattr(one, "url_patterns"):
            yield from parts(one)
        else:
            yield one


@pytest.fixture
def planned(db):
    """Something for every address to be about."""
    plans.keep(
        {
            "outing": PLANNED, "site": "sallowhorn-cove", "date": "2027-05-14", "hauls": 2, "permits": ["SC-24-031"],
            "nets": ["n1"], "crew": ["p1", "p3"], "people_present": 4,
            "buckets": [{"place": "bucket 1", "purpose": "keep", "litres": 14}],
        },
        "p1",
    )  # fmt: skip
    client = Client()
    client.force_login(Person.objects.filter(access="lead").first())
    sheet = SimpleUploadedFile(
        "sheet.csv", b"Haul,Date,Site,Set,Species,Count\nA1,2023-06-20,point,1,cunner,4\n"
    )
    client.post(reverse("bring-in"), {"sheets": [sheet], "name": "", "zone": ""})
    return {"pk": BringIn.objects.get().pk}


def address_of(name, pattern, made):
    words = {**WORDS, **made, **WORDS_OF.get(name, {})}
    query = QUERY_OF.get(name, {})
    if name == "outing-entry":
        words["key"] = EntryRow.objects.filter(outing=words["outing"], kind="move").first().entry
    if name == "tank-line":
        event = readings.tanks().events[0]
        words |= {"tank": event.tank.removeprefix("tank "), "key": event.entry}
    if name == "lot-story":
        held = readings.tanks().holdings[0]
        query = {"haul": held.haul, "taxon": held.taxon}
    address = reverse(name, kwargs={key: words[key] for key in pattern.pattern.converters})
    return f"{address}?{urlencode(query)}" if query else address


@pytest.fixture
def clients(db):
    """Somebody of every role, somebody without an account, and a phone."""
    made = {NOBODY: Client()}
    for role in ROLES:
        made[role] = Client()
        made[role].force_login(Person.objects.filter(access=role).order_by("key").first())
    _, token = devices.enrol(devices.invite(None, "a phone", "p1"))
    made["device"] = Client(headers={"authorization": f"Bearer {token}"})
    return made


def to_sign_in(answer):
    return answer.status_code == 302 and answer["Location"].startswith("/sign-in/")


def test_every_address_is_in_the_table_and_nothing_else():
    names = [pattern.name for pattern in parts()]
    assert len(names) == len(set(names)), "two addresses share a name"
    assert set(names) == set(EXPECTED)


def test_every_view_says_who_may():
    for pattern in parts():
        assert pattern.callback.access, pattern


@pytest.mark.parametrize("name", [pattern.name for pattern in parts()])
def test_an_address_lets_in_who_may_and_nobody_else(name, planned, clients):
    assert name in EXPECTED, f"{name} is new: say in EXPECTED who may do what there"
    expected = EXPECTED[name]
    address = address_of(name, every_route()[name], planned)
    for method in ("GET", "POST"):
        for role, client in clients.items():
            if method in expected:
                answered(name, method, client.generic(method, address), role, expected[method])
            else:
                not_taken(method, client, address, expected)
    for method in ("PUT", "PATCH", "DELETE", "OPTIONS"):
        for client in clients.values():
            not_taken(method, client, address, expected)


def answered(name, method, answer, role, may):
    """Hold an answer to what the table says of this role."""
    about = f"{method} {answer.request['PATH_INFO']} by {role or 'nobody'}: {answer.status_code}"
    assert answer.status_code < 500, about
    if may == PHONE:
        assert (answer.status_code == 401) == (role != "device"), about
    elif may == ALL or role in may:
        assert answer.status_code not in (401, 403, 405), about
        assert not to_sign_in(answer) or name == "sign-out", about
        if method == "GET" and name not in NOT_THERE:
            assert answer.status_code in (200, 302), about
    elif role in ROLES:
        assert answer.status_code == 403, about
    else:
        assert to_sign_in(answer), about


def not_taken(method, client, address, expected):
    answer = client.generic(method, address, headers={"accept": "application/json"})
    assert answer.status_code == 405, f"{method} {address}: {answer.status_code}"
    assert answer["Allow"] == ", ".join(expected)


@pytest.mark.parametrize("name", [name for name, who in EXPECTED.items() if "GET" in who])
def test_asking_for_the_head_is_like_asking_for_the_page(name, planned, clients):
    address = address_of(name, every_route()[name], planned)
    for role in (NOBODY, "lead"):
        answer = clients[role].head(address)
        assert answer.content == b""
        answered(name, "HEAD", answer, role, EXPECTED[name]["GET"])


@pytest.mark.parametrize("name", [name for name, who in EXPECTED.items() if "POST" in who])
def test_a_form_from_elsewhere_is_turned_away(name, planned):
    """Only phones need no safety token: they carry one of their own, and send no cookie."""
    pattern = every_route().get(name)
    if pattern is None:
        pytest.fail(f"{name} is in EXPECTED and nowhere else")
    client = Client(enforce_csrf_checks=True)
    client.force_login(Person.objects.filter(access="lead").first())
    answer = client.post(address_of(name, pattern, planned), {})
    if name.startswith("shore-"):
        assert answer.status_code in (400, 401)
    else:
        assert answer.status_code == 403
        assert "opened too long ago" in answer.content.decode()


def test_who_is_let_in_as_a_viewer_finds_no_form_to_send(planned):
    """Every page a viewer may read, read: what may not be done is not offered."""
    client = Client()
    client.force_login(Person.objects.filter(access="viewer").first())
    always = {"/sign-out/", "/theme/", "/password/"}
    resolver = get_resolver()
    for name, who in EXPECTED.items():
        if who.get("GET") != IN or name in {*NOT_THERE, "patterns"} or name not in every_route():
            continue
        page = client.get(address_of(name, every_route()[name], planned), follow=True)
        if not page["Content-Type"].startswith("text/html"):
            continue
        own = page.request["PATH_INFO"]
        for form in re.findall(r'<form[^>]*method="post"[^>]*>', page.content.decode()):
            found = re.search(r'action="([^"]*)"', form)
            action = (found[1].partition("?")[0] if found else "") or own
            target = resolver.resolve(action).url_name
            assert (
                action in always or "viewer" in EXPECTED[target]["POST"] or EXPECTED[target]["POST"] == ALL
            ), f"{name} offers a viewer the form of {target}"
