"""A backup holds the whole station, and gives it back: on this database and on the other kind."""

from __future__ import annotations

import hashlib
import json
import os
import subprocess
import sys
import zipfile
from datetime import UTC, datetime
from pathlib import Path

import pytest
from django.db import DatabaseError, connection, transaction

from haulbook.custody.entry import Draft, chain
from haulbook.problems import Refusal
from haulbook.station.models import (
    Change,
    Device,
    EntryRow,
    OneTime,
    Person,
    PlanVersion,
    Reading,
    Settings,
    StoredFile,
    Touch,
)
from haulbook.station.people import one_time
from haulbook.station.store import book, readings, rows, triggers
from haulbook.station.store.backup import back_up
from haulbook.station.store.inventory import inventory
from haulbook.station.store.restore import restore
from haulbook.station.store.sealed import Sealing, opened
from haulbook.station.store.writing import writing

CONTENT = bytes(range(256)) * 40
DATABASE_URL = "HAULBOOK_DATABASE_URL"


@pytest.fixture
def full(db, tmp_path, monkeypatch):
    """The invented season with one of everything that a station may hold besides."""
    monkeypatch.setenv("HAULBOOK_STATION", str(tmp_path / "here"))
    (tmp_path / "here").mkdir()
    at = datetime(2026, 5, 14, 6, 52, 10, 123456, tzinfo=UTC)
    sha256 = hashlib.sha256(CONTENT).hexdigest()
    StoredFile.objects.create(
        sha256=sha256,
        name="permit é.pdf",
        media_type="application/pdf",
        size=len(CONTENT),
        content=CONTENT,
        at=at,
        by="p1",
    )
    Device.objects.create(
        key="d9", label="the orange one", person=Person.objects.get(key="p1"), token="t" * 64, enrolled_at=at,
        enrolled_by="p1", clock_off_s=1.25,
    )  # fmt: skip
    PlanVersion.objects.create(
        outing="2026-09-30-a",
        number=1,
        body={"outing": "2026-09-30-a", "depth": 0.3, "ü": None},
        at=at,
        by="p1",
    )
    one_time.make(one_time.SIGN_IN, person=Person.objects.get(key="p1"))
    for _ in readings.freshen():
        pass
    return tmp_path


def everything() -> dict[str, object]:
    """What a station holds, whatever numbers its rows have in the book."""
    held: dict[str, object] = {
        name: [rows.row_as_json(row) for row in kind._default_manager.order_by("pk")]
        for name, kind in rows.tables().items()
    }
    for own in held["settings"]:
        del own["book"]
    held["files"] = [bytes(row.content) for row in StoredFile.objects.order_by("pk")]
    held["entries"] = list(EntryRow.objects.order_by("position").values_list("line", "received_at"))
    held["readings"] = {row.key: row.body for row in Reading.objects.filter(kind="outing", position__gte=0)}
    held["touches"] = EntryRow.objects.filter(position__in=Touch.objects.values("position")).count()
    return held


def test_a_backup_gives_back_the_same_station(full):
    before, book_before = everything(), Settings.objects.get().book
    says = back_up(full / "a.zip")
    Person.objects.filter(key="p1").update(name="somebody else")
    Device.objects.all().delete()
    book.write([book.Wanted("remark", {"text": "written after the backup"})], "p1")
    done = restore(full / "a.zip", replace=True)
    for _ in readings.freshen():
        pass
    after = everything()
    assert {name: after[name] == before[name] for name in before} == dict.fromkeys(before, True)
    assert inventory().as_json() == says["book"] == done.says["book"]
    assert len(before["readings"]) > 10
    assert says["book"]["signed"]
    assert Settings.objects.get().book != book_before, "phones must see that it is another book"
    assert not OneTime.objects.exists(), "a code that was used up must stay so"


def test_what_was_there_before_is_put_aside_whole(full):
    back_up(full / "a.zip")
    book.write([book.Wanted("remark", {"text": "written after the backup"})], "p1")
    with_remark = inventory()
    done = restore(full / "a.zip", replace=True)
    assert done.aside.parent == full / "here"
    assert inventory() != with_remark
    restore(done.aside, replace=True)
    assert inventory() == with_remark


def test_two_restores_within_a_second_put_aside_two_files(full, settings):
    settings.HAULBOOK_NOW = "2026-10-01T12:00:00+00:00"
    back_up(full / "a.zip")
    first, second = restore(full / "a.zip", replace=True).aside, restore(full / "a.zip", replace=True).aside
    assert first != second
    assert first.exists()
    assert second.exists()


def test_entries_still_can_not_be_changed_after_a_restore(full):
    back_up(full / "a.zip")
    restore(full / "a.zip", replace=True)
    assert triggers.standing(connection)
    for change in (lambda: EntryRow.objects.update(by="p9"), EntryRow.objects.all().delete):
        with pytest.raises(DatabaseError, match="only ever added"), transaction.atomic():
            change()


def test_new_rows_are_numbered_after_those_that_came_back(full):
    back_up(full / "a.zip")
    restore(full / "a.zip", replace=True)
    last = Change.objects.order_by("-pk").first().pk
    assert Change.objects.create(what="site", key="x", at=datetime.now(UTC), by="p1").pk > last
    entry = book.write([book.Wanted("remark", {"text": "goes on"})], "p1")[0]
    before = EntryRow.objects.filter(device="desk").exclude(hash=entry.hash).order_by("-seq").first()
    assert (entry.seq, entry.prev) == (before.seq + 1, before.hash)


def test_a_station_that_holds_something_is_not_filled_without_being_told_to(full):
    back_up(full / "a.zip")
    before = everything()
    with pytest.raises(Refusal, match=r"holds something already.*--replace"):
        restore(full / "a.zip")
    assert everything() == before


@pytest.mark.parametrize("part", [0.001, 0.2, 0.5, 0.8, 0.999])
def test_a_damaged_file_leaves_the_station_alone(full, part):
    back_up(full / "a.zip")
    content = bytearray((full / "a.zip").read_bytes())
    content[int(len(content) * part)] ^= 0x20
    (full / "a.zip").write_bytes(content)
    before = everything()
    with pytest.raises(Refusal, match=r"a\.zip: this is (not the|no) backup"):
        restore(full / "a.zip", replace=True)
    assert everything() == before
    assert not list((full / "here").glob("put-aside*"))


def sealed_anew(path: Path, to: Path, change) -> Path:
    """Unpack a backup, let somebody change members and manifest, and seal it as only a program of ours would."""
    with zipfile.ZipFile(path) as packed:
        members = {name: packed.read(name) for name in packed.namelist()}
    manifest = json.loads(members.pop("manifest.json"))
    for key in ("haulbook", "format", "members"):
        del manifest[key]
    change(members, manifest)
    with Sealing(to) as sealing:
        for name, content in members.items():
            sealing.add(name, [content])
        sealing.seal(manifest)
    return to


def _change_a_count(members, manifest):
    lines = members["book.jsonl"].split(b"\n")
    at = next(n for n, line in enumerate(lines) if b'"n":6,' in line)
    lines[at] = lines[at].replace(b'"n":6,', b'"n":5,', 1)
    members["book.jsonl"] = b"\n".join(lines)


def _leave_out_a_line(members, manifest):
    lines = members["book.jsonl"].split(b"\n")
    del lines[10]
    members["book.jsonl"] = b"\n".join(lines)


def _leave_out_and_count_down(members, manifest):
    _leave_out_a_line(members, manifest)
    manifest["book"]["entries"] -= 1


def _say_a_sign_off_held(members, manifest):
    manifest["book"]["signed"][0]["digest"] = "0" * 64


def _drop_a_file(members, manifest):
    del members[next(name for name in members if name.startswith("files/"))]


def _change_a_file(members, manifest):
    members[next(name for name in members if name.startswith("files/"))] += b"x"


def _add_a_file(members, manifest):
    members["files/" + "0" * 64] = b"of nobody"


def _add_a_table(members, manifest):
    members["rows/weather.jsonl"] = b"{}\n"


def _add_a_column(members, manifest):
    members["rows/tank.jsonl"] = b'{"id":1,"key":"q9","litres":3.0,"colour":"blue"}\n'


def _write_words_for_a_number(members, manifest):
    members["rows/tank.jsonl"] = b'{"id":1,"key":"q9","litres":"much"}\n'


def _write_a_list_for_a_row(members, manifest):
    members["rows/tank.jsonl"] = b"[]\n"


def _receive_fewer(members, manifest):
    members["received.jsonl"] = b'[1,"2026-05-14T06:52:10+00:00"]\n'


def _receive_nonsense(members, manifest):
    members["received.jsonl"] = b'["x"]\n'


def _cut_the_last_line(members, manifest):
    members["book.jsonl"] = members["book.jsonl"][:-1]


def _write_a_row_twice(members, manifest):
    members["rows/tank.jsonl"] += members["rows/tank.jsonl"]


def _write_a_line_twice(members, manifest):
    lines = members["book.jsonl"].splitlines(keepends=True)
    members["book.jsonl"] = b"".join([*lines[:-1], lines[0]])
    hashes = sorted(json.loads(line)["hash"] for line in members["book.jsonl"].splitlines())
    manifest["book"]["digest"] = hashlib.sha256("\n".join(hashes).encode()).hexdigest()


def _say_nothing_of_the_book(members, manifest):
    manifest["book"] = None


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (_change_a_count, "the hash does not match"),
        (_leave_out_a_line, "entries, chains or sign-offs are not those"),
        (_leave_out_and_count_down, "entries, chains or sign-offs are not those"),
        (_say_a_sign_off_held, "entries, chains or sign-offs are not those"),
        (_drop_a_file, "is not in it"),
        (_change_a_file, "is another one"),
        (_add_a_file, "nothing speaks of the file"),
        (_add_a_table, "of a newer haulbook"),
        (_add_a_column, "no column of tank 'colour'.*another version"),
        (_write_words_for_a_number, "litres of a row of tank is 'much'"),
        (_write_a_list_for_a_row, "no JSON object"),
        (_receive_fewer, "another number of entries"),
        (_receive_nonsense, r"a line of received\.jsonl can't be read"),
        (_cut_the_last_line, "has no end"),
        (_write_a_row_twice, "no database takes what is in it"),
        (_write_a_line_twice, "no database takes what is in it|entries, chains or sign-offs"),
        (_say_nothing_of_the_book, "says nothing of the book"),
    ],
)
def test_a_file_that_is_whole_and_says_something_else_is_refused_too(full, change, words):
    back_up(full / "a.zip")
    sealed_anew(full / "a.zip", full / "b.zip", change)
    before = everything()
    with pytest.raises(Refusal, match=words):
        restore(full / "b.zip", replace=True)
    assert everything() == before


def test_a_row_without_a_column_that_came_later_takes_its_default(full):
    back_up(full / "a.zip")

    def forget(members, manifest):
        lines = [json.loads(line) for line in members["rows/device.jsonl"].splitlines()]
        for line in lines:
            del line["clock_off_s"]
        members["rows/device.jsonl"] = "".join(json.dumps(line) + "\n" for line in lines).encode()

    restore(sealed_anew(full / "a.zip", full / "b.zip", forget), replace=True)
    assert Device.objects.get(key="d9").clock_off_s is None


def test_gaps_and_forks_that_were_there_come_back_with_it(full):
    """A phone may still hold what is missing: the book of a station is seldom without a gap."""
    drafts = [
        Draft(
            book.new_id(datetime.now(UTC)),
            "2026-09-30T08:00:00-04:00",
            "2026-09-30T08:00:00-04:00",
            "p1",
            None,
            "remark",
            {"text": str(n)},
        )
        for n in range(4)
    ]
    more = chain(drafts, "d1", book.last_of("d1"))
    with writing():
        book.add([more[0], more[3]], datetime.now(UTC))
    says = back_up(full / "a.zip")
    assert any(words.startswith("gap d1") for words in says["book"]["loose"])
    restore(full / "a.zip", replace=True)
    assert inventory().as_json() == says["book"]


def test_the_backup_holds_no_codes_sessions_or_secrets(full, client):
    client.force_login(Person.objects.get(key="p1"))
    back_up(full / "a.zip")
    with zipfile.ZipFile(full / "a.zip") as packed:
        names = packed.namelist()
        content = b"".join(packed.read(name) for name in names)
    assert not [name for name in names if "onetime" in name or "session" in name or "signintry" in name]
    key = Path(os.environ["HAULBOOK_STATION"], "secret-key")
    assert not key.exists() or key.read_bytes().strip() not in content


def test_nothing_set_up_is_nothing_to_back_up(db, tmp_path):
    Settings.objects.all().delete()
    with pytest.raises(Refusal, match="has not been set up yet"):
        back_up(tmp_path / "a.zip")
    assert not list(tmp_path.iterdir())


def test_the_book_of_a_backup_is_a_book_file(full):
    from haulbook.exchange.bookfile import verify_book

    says = back_up(full / "a.zip")
    with opened(full / "a.zip") as sealed:
        (full / "book.jsonl").write_bytes(sealed.content("book.jsonl"))
    found = verify_book(full / "book.jsonl")
    assert not found.broken
    assert len(found.book.entries) == says["book"]["entries"]


def haulbook(*words: str, url: str | None) -> str:
    environment = {key: value for key, value in os.environ.items() if key != DATABASE_URL}
    if url:
        environment[DATABASE_URL] = url
    done = subprocess.run(
        [sys.executable, "-m", "haulbook", *words],
        env=environment,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


def members_of(path: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(path) as packed:
        found = {name: packed.read(name) for name in packed.namelist()}
    found.pop("manifest.json")
    found["rows/settings.jsonl"] = b""  # the name of the book differs
    return found


def test_a_backup_goes_to_the_other_kind_of_database_and_back(tmp_path, new_postgres):
    """SQLite to PostgreSQL to SQLite: the same members, byte for byte."""
    url, first, last = new_postgres(), str(tmp_path / "first"), str(tmp_path / "last")
    filled = (
        "from pathlib import Path; from haulbook.station.serving import connect; connect(Path({!r}));"
        "from haulbook.station.invented import fill; fill()"
    )
    environment = {key: value for key, value in os.environ.items() if key != DATABASE_URL}
    subprocess.run([sys.executable, "-c", filled.format(first)], env=environment, check=True, timeout=120)
    haulbook("station", "backup", str(tmp_path / "a.zip"), "--station", first, url=None)
    haulbook("station", "restore", str(tmp_path / "a.zip"), "--station", str(tmp_path / "pg"), url=url)
    said = haulbook("station", "verify", "--station", str(tmp_path / "pg"), url=url)
    assert "all as written" in said
    haulbook("station", "backup", str(tmp_path / "b.zip"), "--station", str(tmp_path / "pg"), url=url)
    haulbook("station", "restore", str(tmp_path / "b.zip"), "--station", last, url=None)
    haulbook("station", "backup", str(tmp_path / "c.zip"), "--station", last, url=None)
    assert members_of(tmp_path / "a.zip") == members_of(tmp_path / "b.zip") == members_of(tmp_path / "c.zip")
    assert "all as written" in haulbook("station", "verify", "--station", last, url=None)
