"""The phone's way in: the page's files, enrolling, kits, sync."""

from __future__ import annotations

import gzip
import json
from datetime import UTC, datetime
from importlib.resources import files

import pytest
from django.test import Client

from haulbook.custody.entry import Draft, chain
from haulbook.shore.kit import read_kit
from haulbook.shore.shell import page_files
from haulbook.station.models import Device, EntryRow, Person, PlanVersion, Settings
from haulbook.station.people import devices
from haulbook.station.store import book, kits, plans
from haulbook.station.store.permits import newest_files, store_permit

pytestmark = pytest.mark.django_db
OUTING = "2026-09-27-a"
PLAN = {
    "outing": OUTING,
    "site": "sallowhorn-cove",
    "date": "2026-09-27",
    "hauls": 3,
    "permits": ["SC-24-031"],
    "nets": ["n1"],
    "crew": ["p1", "p3"],
    "people_present": 8,
    "buckets": [{"place": "bucket 1", "purpose": "keep", "litres": 14, "air_per_h": 3.0}],
    "looked_for": ["northern-pipefish"],
    "keep_device": "d3",
}
T0 = datetime(2026, 9, 27, 10, 0, tzinfo=UTC)


class Phone:
    """A phone: enrolled, with a chain of its own."""

    def __init__(self, label: str = "orange") -> None:
        self.client = Client()
        code = devices.invite(Person.objects.get(key="p3"), label, "p1")
        said = self.post("/shore/enrol", {"code": code}).json()
        self.device, self.token = said["device"], said["token"]
        self.last = None
        self.cursor = None

    def post(self, url, said, token=None):
        headers = {"authorization": f"Bearer {token}"} if token else {}
        return self.client.post(url, json.dumps(said), content_type="application/json", headers=headers)

    def get(self, url, **headers):
        return self.client.get(url, headers={"authorization": f"Bearer {self.token}", **headers})

    def write(self, n=1, outing=OUTING, text="seen from the beach"):
        drafts = [
            Draft(
                book.new_id(T0),
                T0.isoformat(),
                T0.isoformat(),
                "p3",
                outing,
                "remark",
                {"text": f"{text} {i}"},
            )
            for i in range(n)
        ]
        made = chain(drafts, self.device, self.last)
        self.last = made[-1] if made else self.last
        return [entry.as_json() for entry in made]

    def sync(self, entries=(), **more):
        said = {"device": self.device, "cursor": self.cursor, "entries": list(entries), **more}
        answer = self.post("/shore/sync", said, self.token)
        if answer.status_code == 200:
            self.cursor = answer.json()["cursor"]
        return answer


@pytest.fixture
def evening(db, settings):
    """The evening before the outing, its plan made."""
    settings.HAULBOOK_NOW = "2026-09-26T20:00:00-04:00"
    plans.keep(dict(PLAN), "p1")


@pytest.fixture
def phone(evening):
    return Phone()


# the page's files


def test_every_file_of_the_page_is_answered_with_its_type_and_digest(client):
    types = {
        "js": "text/javascript",
        "css": "text/css",
        "html": "text/html",
        "svg": "image/svg+xml",
        "png": "image/png",
    }
    assert page_files()
    for address, content in page_files().items():
        answer = client.get(f"/shore/{address}")
        assert answer.status_code == 200
        assert answer.content == content
        kind = address.rpartition(".")[2]
        assert answer["Content-Type"].startswith(types.get(kind, "application/")), address
        assert answer["Cache-Control"] == "no-cache"
        again = client.get(f"/shore/{address}", headers={"if-none-match": answer["ETag"]})
        assert (again.status_code, again.content, again["ETag"]) == (304, b"", answer["ETag"])


def test_files_are_packed_for_browsers_that_take_that(client):
    address = next(name for name in page_files() if name.endswith(".js"))
    answer = client.get(f"/shore/{address}", headers={"accept-encoding": "gzip, br"})
    assert answer["Content-Encoding"] == "gzip"
    assert "Accept-Encoding" in answer["Vary"]
    assert gzip.decompress(answer.content) == page_files()[address]


def test_the_station_adds_tokens_drawings_and_the_list_of_what_a_phone_keeps(client):
    tokens = client.get("/shore/tokens.css").content
    assert tokens == files("haulbook.publish").joinpath("templates/tokens.css").read_bytes()
    assert b'<symbol id="plan-crab"' in client.get("/shore/silhouettes.svg").content
    shell = client.get("/shore/shell.json").json()
    assert shell["files"][0] == "./"
    for address in shell["files"][1:]:
        assert client.get(f"/shore/{address}").status_code == 200, address


@pytest.mark.parametrize(
    "address", ["nothing.js", "../kit.py", "book/../../kit.py", "%2e%2e/kit.py", "book/"]
)
def test_nothing_but_the_page_is_answered(client, address):
    assert client.get(f"/shore/{address}").status_code in (302, 404)


def test_the_page_needs_no_account_and_sets_no_cookie(client):
    address = next(iter(page_files()))
    assert not client.get(f"/shore/{address}").cookies


# enrolling


def test_a_code_makes_a_device_once(evening):
    code = devices.invite(Person.objects.get(key="p3"), "the orange one", "p1")
    client = Client(enforce_csrf_checks=True)
    first = client.post("/shore/enrol", json.dumps({"code": code.upper()}), content_type="application/json")
    said = first.json()
    assert (first.status_code, said["person"]) == (200, "p3")
    device = Device.objects.get(key=said["device"])
    assert device.label == "the orange one"
    assert device.enrolled_by == "p1"
    assert said["token"] not in device.token, "the station keeps the digest of the token only"
    second = client.post("/shore/enrol", json.dumps({"code": code}), content_type="application/json")
    assert second.status_code == 400
    assert "used already" in second.json()["problems"][0]["message"]


def test_a_new_device_never_gets_a_key_under_which_the_book_has_lines(evening):
    assert {"d1", "d2"} <= set(EntryRow.objects.values_list("device", flat=True))
    assert not Device.objects.exists()
    assert Phone().device == "d3"
    assert Phone().device == "d4"


def test_a_phone_that_says_it_had_a_key_does_not_get_it_by_saying_so(phone):
    code = devices.invite(None, "another", "p1")
    said = phone.post("/shore/enrol", {"code": code, "device": phone.device}).json()
    assert said["device"] != phone.device
    assert said["person"] is None
    assert phone.sync().status_code == 200, "the first one goes on"


def test_a_device_that_was_turned_away_comes_back_under_its_key_when_invited_to(phone):
    device = Device.objects.get(key=phone.device)
    devices.revoke(device)
    assert phone.sync().status_code == 401
    code = devices.invite(device.person, device.label, "p1", device=device.key)
    said = phone.post("/shore/enrol", {"code": code, "device": phone.device}).json()
    assert said["device"] == phone.device
    old, phone.token = phone.token, said["token"]
    assert phone.sync(phone.write()).json()["answers"][0]["answer"] == "stored"
    phone.token = old
    assert phone.sync().status_code == 401


def test_another_phone_can_not_take_the_place_of_the_one_that_was_invited_back(phone):
    device = Device.objects.get(key=phone.device)
    devices.revoke(device)
    code = devices.invite(device.person, device.label, "p1", device=device.key)
    assert phone.post("/shore/enrol", {"code": code, "device": None}).json()["device"] != device.key


@pytest.mark.parametrize(
    "body", ["", "[]", '{"code": 5}', '{"code": "x", "name": "y"}', '{"code": ""}', "\udcff"]
)
def test_what_is_no_request_to_enrol_is_refused_in_json(evening, client, body):
    answer = client.post(
        "/shore/enrol", body.encode("utf-8", "surrogatepass"), content_type="application/json"
    )
    assert answer.status_code == 400
    assert answer.json()["problems"]


# kits


def test_a_phone_hears_which_kits_there_are_the_one_that_it_needs_first(phone):
    for n, day in enumerate(("2026-09-20", "2026-09-30", "2026-09-28")):
        plans.keep({**PLAN, "outing": f"{day}-b", "date": day, "hauls": n + 1}, "p1")
    plans.keep({**PLAN, "outing": "2026-10-01-a", "date": "2026-10-01", "nets": ["n9"]}, "p1")
    said = phone.get("/shore/kits").json()
    assert [one["outing"] for one in said] == [OUTING, "2026-09-20-b", "2026-09-28-b", "2026-09-30-b"]
    kit = read_kit(phone.get("/shore/kit").content)
    about = {"outing": OUTING, "site": "sallowhorn-cove", "made_at": kit.made_at, "digest": kit.digest}
    assert said[0] == about


def test_the_kit_of_the_next_outing_is_that_of_the_plan(phone):
    answer = phone.get("/shore/kit")
    kit = read_kit(answer.content)
    assert kit.outing == OUTING
    assert kit.keep_device == "d3"
    assert kit.clauses
    assert kit.past.hauls > 0, "the account of past outings is in it"
    assert phone.get(f"/shore/kit?outing={OUTING}").content == answer.content
    again = phone.get("/shore/kit", **{"if-none-match": answer["ETag"]})
    assert (again.status_code, again.content) == (304, b"")


def test_a_kit_is_what_the_command_makes_of_the_same_book(phone, settings):
    """The station reads stored accounts; the command reads the whole book."""
    from zoneinfo import ZoneInfo

    from haulbook.office.compile_kit import compile_kit
    from haulbook.shore.kit import kit_bytes
    from haulbook.station import clock
    from haulbook.station.store import permits, reference

    made = compile_kit(
        plans.read(plans.of_outing(OUTING)),
        reference.station(),
        permits.permits(),
        reference.pack_of_station(),
        book.whole_book(),
        clock.now().astimezone(ZoneInfo("America/New_York")),
    )
    assert phone.get("/shore/kit").content == kit_bytes(made)


def test_a_changed_plan_makes_another_kit_and_phones_are_told(phone):
    first = read_kit(phone.get("/shore/kit").content)
    assert phone.sync().json()["kit_digest"] == first.digest
    plans.keep({**PLAN, "hauls": 2}, "p1")
    told = phone.sync().json()["kit_digest"]
    assert told != first.digest
    second = read_kit(phone.get("/shore/kit").content)
    assert second.plan["hauls"] == 2
    assert phone.sync().json()["kit_digest"] == second.digest


def test_a_changed_permit_makes_another_kit(phone):
    first = read_kit(phone.get("/shore/kit").content)
    text = newest_files()[0].text
    store_permit(text.replace('holder = "', 'holder = "the other side of '), "p1")
    assert phone.sync().json()["kit_digest"] != first.digest
    assert read_kit(phone.get("/shore/kit").content).digest == first.digest, (
        "a holder is in no kit: nothing to fetch"
    )
    assert phone.sync().json()["kit_digest"] == first.digest


def test_lines_of_the_outing_itself_ask_for_no_new_kit(phone):
    first = phone.get("/shore/kit").content
    assert phone.sync(phone.write(3)).json()["kit_digest"] == read_kit(first).digest
    assert phone.get("/shore/kit").content == first


def test_lines_of_another_outing_ask_for_one_after_a_while_but_are_in_it_at_once(phone, settings):
    first = read_kit(phone.get("/shore/kit").content)
    other = Phone("of the other crew")
    assert other.sync(other.write(outing="2026-09-26-z")).status_code == 200
    assert phone.sync().json()["kit_digest"] == first.digest, "not at every line of somebody else"
    settings.HAULBOOK_NOW = "2026-09-26T20:11:00-04:00"
    assert phone.sync().json()["kit_digest"] != first.digest
    phone.get("/shore/kit")
    assert phone.sync().json()["kit_digest"] == first.digest, "a remark changes nothing that the kit says"


def test_without_a_plan_there_is_no_kit_and_the_phone_is_told_so(evening):
    PlanVersion.objects.all().delete()
    phone = Phone()
    assert phone.get("/shore/kits").json() == []
    for url in ("/shore/kit", "/shore/kit?outing=2026-01-01-a"):
        answer = phone.get(url)
        assert answer.status_code == 404
        assert "plan" in answer.json()["problems"][0]["message"]
    assert phone.sync().json()["kit_digest"] is None


def test_a_plan_that_names_what_nobody_knows_is_refused_in_words(evening):
    plans.keep({**PLAN, "nets": ["n9"]}, "p1")
    answer = Phone().get("/shore/kit")
    assert answer.status_code == 400
    assert "n9" in answer.json()["problems"][0]["message"]


def test_plans_of_long_ago_and_dropped_ones_are_not_offered(phone, settings):
    plans.keep({**PLAN, "outing": "2026-09-28-a", "date": "2026-09-28"}, "p1", dropped=True)
    settings.HAULBOOK_NOW = "2026-10-12T12:00:00-04:00"
    assert phone.get("/shore/kits").json() == []


# sync


def test_lines_are_stored_once_whatever_way_they_come(phone):
    lines = phone.write(5)
    first = phone.sync(lines[:3]).json()
    assert [one["answer"] for one in first["answers"]] == ["stored"] * 3
    second = phone.sync([*lines, lines[4]]).json()
    assert [one["answer"] for one in second["answers"]] == ["duplicate"] * 3 + [
        "stored",
        "stored",
        "duplicate",
    ][:3]
    assert EntryRow.objects.filter(device=phone.device).count() == 5
    assert [one["id"] for one in second["answers"]] == [one["id"] for one in [*lines, lines[4]]]


def test_one_line_that_is_off_holds_up_no_other(phone):
    good = phone.write(2)
    changed = {**good[0], "by": "p1"}
    other = {**Phone("other").write()[0]}
    said = phone.sync([good[0], changed, other, "words", {"id": 7}, good[1]]).json()
    verdicts = [one["answer"] for one in said["answers"]]
    assert verdicts == ["stored", *["rejected"] * 4, "stored"]
    why = [one["why"] or "" for one in said["answers"]]
    assert "the hash does not match" in why[1]
    assert "a device hands in its own" in why[2]


@pytest.mark.parametrize("half", ['"\\ud800"', '"a\\udfff"'])
def test_half_a_character_is_answered_like_anything_else(phone, half):
    """A lone surrogate, which JSON can write and UTF-8 can't."""
    body = f'{{"device": "{phone.device}", "cursor": null, "entries": [{{"id": {half}}}, {half}]}}'
    headers = {"authorization": f"Bearer {phone.token}"}
    answer = phone.client.post("/shore/sync", body, content_type="application/json", headers=headers)
    assert answer.status_code == 200
    assert [one["answer"] for one in answer.json()["answers"]] == ["rejected", "rejected"]
    body = f'{{"device": {half}, "cursor": {half}, "entries": []}}'
    assert (
        phone.client.post("/shore/sync", body, content_type="application/json", headers=headers).status_code
        == 400
    )


def test_a_line_that_makes_no_sense_is_stored_all_the_same(phone):
    """Nothing well-formed is refused: animals out of a bucket that never held any show as a discrepancy."""
    line = {"from": "bucket 3", "haul": f"{OUTING}/1", "n": 4, "taxon": "cunner", "to": "back"}
    draft = Draft(book.new_id(T0), T0.isoformat(), T0.isoformat(), "p3", OUTING, "move", {"lines": [line]})
    entry = chain([draft], phone.device)[0].as_json()
    assert phone.sync([entry]).json()["answers"][0]["answer"] == "stored"
    from haulbook.station.store import readings

    assert any(one.kind == "below-zero" for one in readings.outing(OUTING).discrepancies)


def test_phones_hear_of_one_another_and_of_the_desk(phone):
    other = Phone("other")
    other.sync()
    phone.sync(lines := phone.write(3))
    desk = book.write([book.Wanted("remark", {"text": "from the desk"}, OUTING)], "p1")
    heard = other.sync().json()
    assert [one["hash"] for one in heard["entries"]] == [*(one["hash"] for one in lines), desk[0].hash]
    assert heard["more"] is False
    assert other.sync().json()["entries"] == []


def test_lines_of_other_outings_and_of_tanks_stay_at_the_station(phone):
    phone.sync()
    book.write(
        [
            book.Wanted("remark", {"text": "an older one"}, "2024-05-01-a"),
            book.Wanted("remark", {"text": "of a tank", "place": "tank q1"}),
        ],
        "p1",
    )
    assert phone.sync().json()["entries"] == []


def test_a_phone_is_given_back_its_own_lines(phone):
    lines = phone.write(4, outing="2025-01-01-d3")
    phone.sync(lines)
    phone.cursor = None
    assert [one["hash"] for one in phone.sync().json()["entries"]] == [one["hash"] for one in lines]


def test_what_is_too_much_for_one_answer_comes_in_several(phone, settings):
    other = Phone("other")
    for start in range(0, 1_200, 400):
        assert other.sync(other.write(400)).status_code == 200, start
    heard, rounds, more = [], 0, True
    while more:
        said = phone.sync().json()
        heard += [one["seq"] for one in said["entries"]]
        rounds, more = rounds + 1, said["more"]
    assert heard == list(range(1, 1_201))
    assert rounds == 3


def test_after_a_backup_was_brought_back_the_phone_sends_everything_again(phone):
    lines = phone.write(2)
    phone.sync(lines)
    Settings.objects.update(book="another")
    answer = phone.sync()
    assert answer.status_code == 409
    assert "send everything again" in answer.json()["problems"][0]["message"]
    phone.cursor = None
    assert [one["answer"] for one in phone.sync(lines).json()["answers"]] == ["duplicate"] * 2


@pytest.mark.parametrize("cursor", ["", "1", "x:1", ":", "b:999999999999", "b:-1", "b:1.5", "b:\u0661"])
def test_a_cursor_that_is_none_of_ours_is_answered_with_409(phone, cursor):
    phone.cursor = cursor.replace("b:", f"{Settings.objects.get().book}:")
    assert phone.sync().status_code == 409


@pytest.mark.parametrize("token", ["", "Bearer", "Bearer x", "Basic cDE6cDE=", "Bearer " + "x" * 5_000])
def test_a_token_that_is_not_known_is_answered_with_401_in_json(phone, token):
    for ask in (
        lambda **more: phone.client.post("/shore/sync", "{}", content_type="application/json", **more),
        lambda **more: phone.client.get("/shore/kit", **more),
        lambda **more: phone.client.get("/shore/kits", **more),
    ):
        answer = ask(headers={"authorization": token} if token else {})
        assert answer.status_code == 401
        assert "enrol it anew" in answer.json()["problems"][0]["message"]


def test_a_session_of_the_lead_is_no_token(lead, evening):
    assert lead.post("/shore/sync", "{}", content_type="application/json").status_code == 401


def test_the_token_of_another_device_does_not_serve(phone):
    other = Phone("other")
    said = {"device": phone.device, "cursor": None, "entries": []}
    answer = phone.post("/shore/sync", said, other.token)
    assert answer.status_code == 400
    assert "enrol the device anew" in answer.json()["problems"][0]["message"]


def test_the_clock_of_a_phone_is_noted(phone):
    phone.sync(sent_at="2026-09-26T20:05:00-04:00")
    assert Device.objects.get(key=phone.device).clock_off_s == 300
    phone.sync()
    assert Device.objects.get(key=phone.device).clock_off_s == 300
    phone.sync(sent_at="2026-09-27T00:00:00+00:00")
    assert Device.objects.get(key=phone.device).clock_off_s == 0


def test_a_request_of_more_than_500_lines_is_refused_as_a_whole(phone):
    answer = phone.sync(phone.write(501))
    assert answer.status_code == 400
    assert "501 entries" in answer.json()["problems"][0]["message"]
    assert not EntryRow.objects.filter(device=phone.device).exists()


def test_a_request_that_is_too_large_is_refused_in_json(phone, settings):
    settings.DATA_UPLOAD_MAX_MEMORY_SIZE = 1_000
    answer = phone.sync(phone.write(10))
    assert answer.status_code == 413
    assert "in parts" in answer.json()["problems"][0]["message"]


def test_a_sync_takes_few_queries_however_much_there_is(phone, django_assert_max_num_queries):
    small, large = phone.write(2), phone.write(200)
    with django_assert_max_num_queries(32):
        phone.sync(small)
    with django_assert_max_num_queries(32):
        phone.sync(large)


def test_kits_module_says_nothing_for_an_outing_without_plan(evening):
    assert kits.digest_now("2020-01-01-a", T0) is None
    assert kits.digest_now(None, T0) is None


def test_the_protocol_is_described_to_programs(client):
    document = client.get("/openapi.json").json()
    assert document["openapi"].startswith("3.1")
    assert {"/shore/sync", "/shore/kit", "/shore/enrol"} <= document["paths"].keys()
