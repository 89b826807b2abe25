"""Photos of animals at the station: taken in where a line names them, shown to people with an account, never counted.

The pictures are invented bytes that begin as a JPEG does (ITU-T T.81, annex B).
"""

from __future__ import annotations

import json
from datetime import UTC, datetime
from hashlib import sha256

import pytest
from django.test import Client
from django.urls import reverse

from haulbook.custody.book import Book
from haulbook.custody.entry import Draft, chain
from haulbook.custody.ledger import account_of
from haulbook.problems import Refusal
from haulbook.shore.picture import MOST_BYTES
from haulbook.station.models import EntryRow, Settings, StoredFile
from haulbook.station.people import devices
from haulbook.station.store import book, pictures, readings
from haulbook.station.store.backup import back_up
from haulbook.station.store.export import export
from haulbook.station.store.restore import restore
from haulbook.station.store.take_in import take_in
from haulbook.station.store.verify import verify
from haulbook.station.store.writing import writing

pytestmark = pytest.mark.django_db
OUTING = "2026-09-11-a"
AT = datetime(2026, 9, 11, 12, 0, tzinfo=UTC)


def jpeg(n=1):
    return b"\xff\xd8\xff\xe0" + bytes([n]) * 2_000


class Phone:
    """A phone with a chain of its own."""

    def __init__(self):
        self.device, self.token = devices.enrol(devices.invite(None, "a phone", "p1"))
        self.client = Client(headers={"authorization": f"Bearer {self.token}"})
        self.last = None

    def write(self, kind, body):
        draft = Draft(book.new_id(AT), AT.isoformat(), AT.isoformat(), "p3", OUTING, kind, body)
        (self.last,) = chain([draft], self.device.key, self.last)
        with writing():
            book.add([self.last], AT)
        return self.last

    def call(self, n=1, taxon="northern-pipefish", haul=1):
        return self.write("move", {"lines": [line(n, taxon, haul)]})

    def photo(self, of, content=None):
        content = jpeg() if content is None else content
        digest = sha256(content).hexdigest()
        return self.write("picture", {"of": of.id, "sha256": digest, "bytes": len(content)})

    def send(self, content, digest=None, **more):
        digest = sha256(content).hexdigest() if digest is None else digest
        return self.client.post(f"/shore/picture?sha256={digest}", content, content_type="image/jpeg", **more)


def line(n=1, taxon="northern-pipefish", haul=1):
    return {"taxon": taxon, "n": n, "from": "sea", "to": "back", "haul": f"{OUTING}/{haul}"}


@pytest.fixture
def phone(db):
    return Phone()


def page(client, name, **words):
    answer = client.get(reverse(name, kwargs={"outing": OUTING, **words}))
    assert answer.status_code == 200
    return " ".join(answer.content.decode().split())


# coming in


def test_a_picture_that_a_line_names_is_kept_once_and_shown_to_everybody_with_an_account(phone, signed_in):
    digest = phone.photo(phone.call()).body["sha256"]
    assert phone.send(jpeg()).json() == {"sha256": digest, "answer": "stored"}
    assert phone.send(jpeg()).json() == {"sha256": digest, "answer": "duplicate"}
    assert StoredFile.objects.get(pk=digest).by == "p3"
    for role in ("lead", "recorder", "keeper", "viewer"):
        answer = signed_in(role).get(f"/picture/{digest}/")
        assert answer.content == jpeg()
        assert answer["Content-Type"] == "image/jpeg"
        assert answer["X-Content-Type-Options"] == "nosniff"
        assert answer["Cache-Control"].startswith("private")
        again = signed_in(role).get(f"/picture/{digest}/", headers={"if-none-match": answer["ETag"]})
        assert again.status_code == 304
    assert signed_in("").get(f"/picture/{digest}/").status_code == 302


def test_a_picture_that_no_line_names_waits_on_the_phone_until_the_line_is_here(phone):
    answer = phone.send(jpeg())
    assert answer.status_code == 409
    assert "no line of the book names this picture yet" in answer.json()["problems"][0]["message"]
    assert not StoredFile.objects.filter(media_type="image/jpeg").exists()
    phone.photo(phone.call())
    assert phone.send(jpeg()).status_code == 200


@pytest.mark.parametrize(
    ("content", "digest", "status", "words"),
    [
        (b"words, not a picture", None, 400, "this is no JPEG"),
        (jpeg(2), sha256(jpeg()).hexdigest(), 400, "these are not the bytes that the line names"),
        (b"", sha256(jpeg()).hexdigest(), 400, "this is no JPEG"),
        (jpeg(), "no digest", 400, "64 digits"),
        (jpeg() + bytes(MOST_BYTES), None, 413, "at most 3,000,000 are kept"),
    ],
)
def test_what_is_not_the_picture_is_refused_in_words_and_nothing_is_kept(
    phone, content, digest, status, words
):
    named = content if digest is None else jpeg()
    phone.photo(phone.call(), named)
    answer = phone.send(content, digest)
    assert answer.status_code == status
    assert words in answer.json()["problems"][0]["message"]
    assert not StoredFile.objects.filter(media_type="image/jpeg").exists()


def test_only_a_device_hands_in_pictures(phone, lead):
    phone.photo(phone.call())
    for client in (Client(), lead):
        answer = client.post(f"/shore/picture?sha256={'0' * 64}", jpeg(), content_type="image/jpeg")
        assert answer.status_code == 401


def test_a_photo_that_is_not_here_yet_is_said_in_words(phone, lead):
    digest = phone.photo(phone.call()).body["sha256"]
    answer = lead.get(f"/picture/{digest}/")
    assert answer.status_code == 404
    assert f"still on {phone.device.key}" in answer.content.decode()
    for other in ("0" * 64, "x"):
        answer = lead.get(f"/picture/{other}/")
        assert answer.status_code == 404
        assert "No line of the book names such a photo" in answer.content.decode()


# shown


def test_the_outing_leads_to_its_photos_small_and_with_words(phone, lead):
    line = phone.photo(phone.call())
    phone.photo(phone.call(2, "cunner"), jpeg(2))
    phone.send(jpeg())
    assert f'href="/outing/{OUTING}/photos/"' in page(lead, "outing")
    shown = page(lead, "outing-photos")
    digest = line.body["sha256"]
    assert f'<img src="/picture/{digest}/" alt="Photo of 1 northern pipefish, haul 1"' in shown
    assert "Photo of 2 cunner, haul 1" in shown
    assert f"has not come in yet: it is still on {phone.device.key}" in shown
    assert shown.count('<img src="/picture/') == 1


def test_an_outing_without_photos_says_what_will_stand_there(lead):
    assert "No photo yet." in page(lead, "outing-photos")


def test_a_line_shows_its_photos_and_a_photo_the_line_that_it_shows(phone, lead):
    call = phone.call()
    line = phone.photo(call)
    phone.send(jpeg())
    alt = 'alt="Photo of 1 northern pipefish, haul 1"'
    assert alt in page(lead, "outing-entry", key=call.id)
    own = page(lead, "outing-entry", key=line.id)
    assert alt in own
    assert f'href="/outing/{OUTING}/entry/{call.id}/"' in own
    assert "photo of another line, 2 kB" in own


def test_a_line_put_in_place_of_another_keeps_its_photo(phone, lead):
    call = phone.call(4)
    phone.photo(call)
    phone.send(jpeg())
    instead = phone.call(5)
    phone.write("strike", {"entries": [call.id], "reason": "corrected", "instead": [instead.id]})
    assert 'alt="Photo of 4 northern pipefish, haul 1"' in page(lead, "outing-entry", key=instead.id)


def test_a_struck_photo_shows_as_struck(phone, lead):
    line = phone.photo(phone.call())
    phone.send(jpeg())
    phone.write("strike", {"entries": [line.id], "reason": "thumb on the lens"})
    shown = page(lead, "outing-photos")
    assert '<s class="struck">Photo of 1 northern pipefish, haul 1</s>' in shown
    assert "thumb on the lens" in shown
    assert '<img src="/picture/' not in shown


def test_photos_of_an_outing_take_as_many_questions_for_many_as_for_few(
    phone, lead, django_assert_max_num_queries
):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    def asked():
        with CaptureQueriesContext(connection) as queries:
            page(lead, "outing-photos")
        return len(queries)

    phone.photo(phone.call())
    page(lead, "outing-photos")
    few = asked()
    for n in range(2, 14):
        phone.photo(phone.call(), jpeg(n))
    page(lead, "outing-photos")
    assert asked() == few


# counted nowhere


def test_a_photo_counts_nothing_and_changes_no_signed_outing(phone):
    before, brief = book.whole_book(), next(one for one in readings.briefs() if one.outing == OUTING)
    call = next(entry for entry in before.entries if entry.outing == OUTING and entry.kind == "move")
    phone.photo(call)
    after = book.whole_book()
    assert len(after.entries) == len(before.entries) + 1
    assert account_of(after) == account_of(before)
    assert brief.state == next(one for one in readings.briefs() if one.outing == OUTING).state == "signed"


def test_no_public_page_and_no_open_file_has_a_photo(phone, client, tmp_path):
    Settings.objects.update(public=True)
    digest = phone.photo(phone.call()).body["sha256"]
    phone.send(jpeg())
    said = client.get("/open/")
    assert said.status_code == 200
    assert "/picture/" not in said.content.decode()
    assert digest not in said.content.decode()


# kept


@pytest.fixture
def kept(phone):
    """One photo that has come in, and one that has not."""
    digest = phone.photo(phone.call()).body["sha256"]
    phone.send(jpeg())
    phone.photo(phone.call(), jpeg(2))
    return digest


def test_a_photo_that_has_not_come_in_is_a_note_and_no_fault(kept):
    found = verify()
    assert (found.broken, found.notes) == ((), ("1 photo that a line names has not come in",))


def test_a_flipped_byte_of_a_photo_is_found(kept):
    StoredFile.objects.filter(pk=kept).update(content=jpeg()[:-1] + b"\0")
    assert f"the stored file {kept} is not what was handed in" in verify().broken


def test_a_backup_brings_photos_back_and_one_with_a_flipped_byte_is_refused(kept, tmp_path, monkeypatch):
    monkeypatch.setenv("HAULBOOK_STATION", str(tmp_path / "here"))
    (tmp_path / "here").mkdir()
    back_up(tmp_path / "a.zip")
    whole = (tmp_path / "a.zip").read_bytes()
    at = whole.index(jpeg()) + 500
    (tmp_path / "b.zip").write_bytes(whole[:at] + bytes([whole[at] ^ 1]) + whole[at + 1 :])
    with pytest.raises(Refusal, match="its bytes changed since"):
        restore(tmp_path / "b.zip", replace=True)
    restore(tmp_path / "a.zip", replace=True)
    assert pictures.find(kept) == jpeg()


def test_an_export_has_photos_beside_the_book_and_an_import_takes_them_in(kept, tmp_path):
    done = export(tmp_path / "open")
    assert (done.files, done.pictures) == (0, 1)
    assert [path.name for path in (tmp_path / "open/pictures").iterdir()] == [f"{kept}.jpg"]
    assert take_in(tmp_path / "open/book.jsonl").pictures == 0
    StoredFile.objects.all().delete()
    again = take_in(tmp_path / "open/book.jsonl")
    assert (again.new, again.pictures, again.loose) == (0, 1, ())
    assert pictures.find(kept) == jpeg()


def test_an_import_leaves_out_a_photo_that_is_not_the_one_its_line_names(kept, tmp_path):
    export(tmp_path / "open")
    StoredFile.objects.all().delete()
    (tmp_path / "open/pictures" / f"{kept}.jpg").write_bytes(jpeg(9))
    done = take_in(tmp_path / "open/book.jsonl")
    assert done.pictures == 0
    assert len(done.loose) == 1
    assert f"pictures/{kept}.jpg was left out: these are not the bytes" in done.loose[0]


def test_the_book_file_has_the_lines_of_photos_as_any_other(kept, tmp_path):
    export(tmp_path / "open")
    said = [json.loads(text) for text in (tmp_path / "open/book.jsonl").read_text().splitlines()]
    assert sum(entry["kind"] == "picture" for entry in said) == 2
    assert EntryRow.objects.filter(kind="picture").count() == 2
    assert isinstance(book.whole_book(), Book)
