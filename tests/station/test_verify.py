"""Verify finds what is no longer as it was written; rebuild makes anew what is worked out of it."""

from __future__ import annotations

import hashlib
from datetime import UTC, datetime

import pytest
from django.db import connection

from haulbook.custody.entry import Draft, chain
from haulbook.station.models import EntryRow, Reading, Said, StoredFile, Touch
from haulbook.station.store import book, readings, triggers
from haulbook.station.store.rebuild import rebuild
from haulbook.station.store.verify import verify
from haulbook.station.store.writing import writing

pytestmark = pytest.mark.django_db


@pytest.fixture
def fresh(db):
    for _ in readings.freshen():
        pass


def behind_its_back(**columns):
    """Change a row as somebody with the database's own tools could, and put the triggers back."""
    triggers.take_off(connection)
    EntryRow.objects.filter(kind="move", device="d1").order_by("position").filter(
        pk=EntryRow.objects.filter(kind="move").order_by("position").first().pk
    ).update(**columns)
    triggers.put_back(connection)


def test_an_untouched_station_is_as_written(fresh):
    found = verify()
    assert found.broken == ()
    assert found.loose == ()
    assert found.holds.entries == EntryRow.objects.count() > 1_000
    assert len(found.holds.signed) > 10
    assert all(one.holds for one in found.holds.signed)


def test_a_changed_line_is_found(fresh):
    row = EntryRow.objects.filter(kind="move").order_by("position").first()
    behind_its_back(line=row.line.replace('"n":', '"n":1', 1))
    assert any(f"entry {row.pk}: the hash does not match" in words for words in verify().broken)


def test_a_column_that_says_something_else_than_its_line_is_found(fresh):
    row = EntryRow.objects.filter(kind="move").order_by("position").first()
    behind_its_back(by="p9", outing="2020-01-01-a")
    assert f"entry {row.pk}: outing, by differ from what its line says" in verify().broken


def test_a_line_that_is_gone_shows_as_a_gap_and_breaks_its_sign_off(fresh):
    triggers.take_off(connection)
    row = EntryRow.objects.filter(kind="move", outing__isnull=False).order_by("position").first()
    EntryRow.objects.filter(pk=row.pk).delete()
    triggers.put_back(connection)
    found = verify()
    assert f"gap {row.device} {row.seq}-{row.seq}" in found.loose
    assert any(f"of {row.outing} covers other entries now" in words for words in found.loose)


@pytest.mark.parametrize("off", ["gone", "disabled"])
def test_triggers_that_are_gone_are_found(fresh, off):
    if off == "gone":
        triggers.take_off(connection)
    elif connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute(f"ALTER TABLE {triggers.TABLE} DISABLE TRIGGER ALL")
    else:
        with connection.cursor() as cursor:
            cursor.execute(f"DROP TRIGGER {triggers.TABLE}_no_update")
            cursor.execute(
                f"CREATE TRIGGER {triggers.TABLE}_no_update BEFORE UPDATE ON {triggers.TABLE} BEGIN SELECT 1; END"
            )
    assert not triggers.standing(connection)
    assert any("the triggers that keep entries" in words for words in verify().broken)


def test_a_stored_file_that_changed_is_found(fresh):
    sha256 = hashlib.sha256(b"abc").hexdigest()
    StoredFile.objects.create(
        sha256=sha256,
        name="a.txt",
        media_type="text/plain",
        size=3,
        content=b"abc",
        at=datetime.now(UTC),
        by="p1",
    )
    assert verify().broken == ()
    StoredFile.objects.update(content=b"abd")
    assert f"the stored file {sha256} is not what was handed in" in verify().broken


def test_a_reading_that_does_not_fit_is_found_and_made_anew(fresh):
    reading = Reading.objects.filter(kind="outing").order_by("key").first()
    good = reading.body
    Reading.objects.filter(pk=reading.pk).update(body=good.replace("1", "2", 1))
    assert verify().broken == (
        f"the reading of {reading.key} does not fit its entries: haulbook station rebuild",
    )
    assert rebuild() == Reading.objects.filter(kind="outing").count()
    assert Reading.objects.get(kind="outing", key=reading.key).body == good
    assert verify().broken == ()


def test_what_was_noted_of_entries_and_is_gone_is_found_and_made_anew(fresh):
    touches, words = Touch.objects.count(), Said.objects.count()
    assert touches
    assert words
    Touch.objects.all().delete()
    Said.objects.filter(pk=Said.objects.order_by("pk").first().pk).delete()
    said = verify().broken
    assert any("touches that were noted of entries do not fit them" in one for one in said)
    assert "1 words that were noted of entries do not fit them: haulbook station rebuild" in said
    rebuild()
    assert (Touch.objects.count(), Said.objects.count()) == (touches, words)
    assert verify().broken == ()


def test_lines_in_any_order_verify(fresh):
    """A strike may come in before what it strikes, and one outing's move may name another's haul."""
    t0 = "2026-09-27T08:00:00-04:00"

    def draft(kind, body, outing):
        return Draft(book.new_id(datetime.now(UTC)), t0, t0, "p3", outing, kind, body)

    line = {"from": "sea", "haul": "2026-09-27-a/1", "n": 2, "taxon": "cunner", "to": "bucket 1"}
    first = draft("move", {"lines": [line]}, "2026-09-27-a")
    on = {"from": "tank q1", "haul": "2026-09-27-a/1", "n": 1, "taxon": "cunner", "to": "bucket 1"}
    later = [
        draft("strike", {"entries": [first.id], "reason": "slip"}, None),
        draft("place", {"place": "bucket 1", "act": "left-beach"}, "2026-09-28-a"),
        draft("move", {"lines": [on]}, "2026-09-28-a"),
    ]
    entries = chain([first, *later], "d7")
    for entry in reversed(entries):
        with writing():
            book.add([entry], datetime.now(UTC))
    for _ in readings.freshen():
        pass
    assert verify().broken == ()
    before = {row.key: row.body for row in Reading.objects.filter(kind="outing")}
    rebuild()
    assert {row.key: row.body for row in Reading.objects.filter(kind="outing")} == before
