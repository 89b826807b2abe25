"""Whatever is sent to the phone's routes, the station answers in words, never that something went wrong."""

from __future__ import annotations

import json
from datetime import UTC, datetime

import pytest
import schemathesis
from django.core.signals import request_finished, request_started
from django.core.wsgi import get_wsgi_application
from django.db import close_old_connections
from django.test import Client
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from schemathesis.specs.openapi.checks import response_schema_conformance, status_code_conformance

from haulbook.custody.entry import Draft, chain
from haulbook.problems import Refusal
from haulbook.station.models import Device, EntryRow, Person
from haulbook.station.people import devices
from haulbook.station.store import book, readings

pytestmark = pytest.mark.django_db
EXAMPLES = settings(
    max_examples=40,
    deadline=None,
    suppress_health_check=[
        HealthCheck.function_scoped_fixture,
        HealthCheck.too_slow,
        HealthCheck.filter_too_much,
    ],
)
T0 = datetime(2026, 9, 27, 10, 0, tzinfo=UTC)
ANY_TEXT = st.text(st.characters(), max_size=40)
ANY_JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | ANY_TEXT,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(ANY_TEXT, inner, max_size=4),
    max_leaves=12,
)


@pytest.fixture
def token(db) -> tuple[str, str]:
    """The key and token of an enrolled device."""
    device, token = devices.enrol(devices.invite(Person.objects.get(key="p3"), "fuzzed", "p1"))
    return device.key, token


@pytest.fixture
def api(token):
    """The described operations by address, asked within the transaction of the test."""
    signals = (request_started, request_finished)
    for signal in signals:
        signal.disconnect(close_old_connections)
    schema = schemathesis.openapi.from_wsgi("/openapi.json", get_wsgi_application())
    yield {found.ok().path: found.ok() for found in schema.get_all_operations()}
    for signal in signals:
        signal.connect(close_old_connections)


@pytest.mark.parametrize("address", ["/shore/sync", "/shore/kit", "/shore/kits", "/shore/enrol"])
@EXAMPLES
@given(data=st.data())
def test_what_the_document_describes_is_answered_as_it_says(api, token, address, data):
    case = data.draw(api[address].as_strategy())
    response = case.call(headers={"Authorization": f"Bearer {token[1]}"})
    assert response.status_code < 500, response.text
    case.validate_response(response, checks=[response_schema_conformance, status_code_conformance])


def sent(body: bytes, token: tuple[str, str]):
    return Client(raise_request_exception=False).post(
        "/shore/sync", body, content_type="application/json", headers={"authorization": f"Bearer {token[1]}"}
    )


@EXAMPLES
@given(body=st.binary(max_size=60) | ANY_JSON.map(lambda value: json.dumps(value).encode()))
def test_any_bytes_are_answered(token, body):
    answer = sent(body, token)
    assert answer.status_code in (200, 400)
    answer.json()


@EXAMPLES
@given(
    entries=st.lists(ANY_JSON, max_size=4),
    cursor=st.none() | ANY_TEXT,
    sent_at=st.none() | ANY_TEXT | st.datetimes(timezones=st.just(UTC)).map(datetime.isoformat),
)
def test_any_entries_are_answered_one_by_one(token, entries, cursor, sent_at):
    said = {"device": token[0], "cursor": cursor, "entries": entries, "sent_at": sent_at}
    answer = sent(json.dumps(said).encode(), token)
    assert answer.status_code in (200, 400, 409)
    if answer.status_code == 200:
        assert [one["answer"] for one in answer.json()["answers"]] == ["rejected"] * len(entries)


OUTINGS = st.from_regex(r"[^\s/\x00-\x1f\x7f]{1,64}", fullmatch=True)
WORDS = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=30)


def moves(outing):
    line = st.fixed_dictionaries(
        {
            "from": st.sampled_from(["sea", "net", "bucket 1", "tank q1"]),
            "to": st.sampled_from(["bucket 1", "back", "net", "tank q1", "dead-back"]),
            "haul": st.just(f"{outing}/1"),
            "n": st.integers(1, 2**53 - 1) | st.integers(1, 5),
            "taxon": st.sampled_from(["cunner", "rock-gunnel"]) | WORDS.map(lambda words: f"?{words}"),
        },
        optional={"said": WORDS, "stage": st.sampled_from(["young", "adult"])},
    )
    return st.fixed_dictionaries({"lines": st.lists(line, min_size=1, max_size=3)}, optional={"text": WORDS})


@st.composite
def drafts(draw):
    outing = draw(OUTINGS)
    at = draw(
        st.sampled_from(
            ["0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59-12:00", "2026-09-27", "2026", T0.isoformat()]
        )
    )
    kind, body = draw(
        st.one_of(
            st.tuples(st.just("remark"), st.fixed_dictionaries({"text": WORDS})),
            st.tuples(st.just("move"), moves(outing)),
            st.tuples(
                st.just("settled"), st.fixed_dictionaries({"key": WORDS, "answer": WORDS, "why": WORDS})
            ),
            st.tuples(
                st.just("strike"),
                st.fixed_dictionaries({"entries": st.just([book.new_id(T0)]), "reason": WORDS}),
            ),
            st.tuples(
                st.just("haul-started"),
                st.fixed_dictionaries(
                    {"haul": st.just(f"{outing}/1")}, optional={"site": WORDS, "label": WORDS, "net": WORDS}
                ),
            ),
            st.tuples(st.just("unheard-of"), st.dictionaries(WORDS, WORDS, max_size=3)),
        )
    )
    return Draft(book.new_id(T0), at, T0.isoformat(), "p3", outing, kind, body)


@EXAMPLES
@given(some=st.lists(drafts(), min_size=1, max_size=4))
def test_whatever_a_well_formed_line_says_it_is_stored_and_can_be_read(token, some):
    key, secret = token
    try:
        entries = chain(some, key, book.last_of(key))
    except Refusal:
        return  # no well-formed line: a phone would not write it
    said = {"device": key, "cursor": None, "entries": [entry.as_json() for entry in entries]}
    answer = sent(json.dumps(said).encode(), (key, secret))
    assert answer.status_code == 200, answer.content
    assert [one["answer"] for one in answer.json()["answers"]] == ["stored"] * len(entries)
    assert EntryRow.objects.filter(hash__in=[entry.hash for entry in entries]).count() == len(entries)
    for _ in readings.freshen():
        pass
    readings.briefs()
    assert Device.objects.get(key=key)
