"""``haulbook station``: what it says, what it refuses, and its exit status."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from contextlib import contextmanager

import pytest
import typer
from typer.testing import CliRunner

from haulbook.cli import station as commands
from haulbook.cli import station_folder
from haulbook.custody.book import Book
from haulbook.custody.entry import Draft, chain
from haulbook.exchange.bookfile import read_book, write_book
from haulbook.exchange.permit_toml import read_permit
from haulbook.exchange.plan_toml import read_plan
from haulbook.exchange.station_toml import read_station
from haulbook.problems import Refusal
from haulbook.station import clock
from haulbook.station.models import Change, Confirmation, EntryRow, LayoutFile, Person, StoredFile, Tank
from haulbook.station.people import one_time
from haulbook.station.store import book, permits, plans, reference
from haulbook.taxa import load_pack

pytestmark = pytest.mark.django_db


@pytest.fixture
def run(db, monkeypatch, tmp_path):
    """Run a command on the station of the tests."""

    @contextmanager
    def opened(folder, *, new=False):
        yield lambda words, done, total: None

    monkeypatch.setenv("HAULBOOK_STATION", str(tmp_path / "here"))
    (tmp_path / "here").mkdir()
    monkeypatch.setattr(commands, "opened", opened)
    monkeypatch.setattr(commands.station_user, "opened", opened)
    app = typer.Typer()
    commands.register(app)

    def go(*words, status=0):
        done = CliRunner().invoke(app, ["station", *map(str, words)], catch_exceptions=True)
        if done.exception and not isinstance(done.exception, SystemExit):
            raise done.exception
        assert done.exit_code == status, done.output
        return done.stdout

    return go


def test_a_backup_says_what_is_in_it_and_a_restore_the_same(run, tmp_path):
    file = tmp_path / "a.zip"
    said = run("backup", file)
    n = EntryRow.objects.count()
    digest = re.search(r"book ([0-9a-f]{64})", said)[1]
    assert f"{n} entries, " in said
    assert json.loads(run("backup", file, "--json"))["digest"] == digest
    back = run("restore", file, "--replace")
    assert f"{n} entries" in back
    assert digest in back
    assert str(tmp_path / "here" / "put-aside-") in back
    assert json.loads(run("restore", file, "--replace", "--json"))["digest"] == digest


def test_a_damaged_backup_is_refused_before_any_folder_is_made(tmp_path):
    (tmp_path / "a.zip").write_text("words")
    words = ["restore", str(tmp_path / "a.zip"), "--station", str(tmp_path / "new")]
    done = subprocess.run(
        [sys.executable, "-m", "haulbook", "station", *words],
        capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip
    assert done.returncode == 2
    assert done.stderr.startswith("refused: a.zip: this is no backup")
    assert not (tmp_path / "new").exists()


def test_a_station_that_is_not_there_is_named(tmp_path, monkeypatch):
    monkeypatch.delenv("HAULBOOK_DATABASE_URL", raising=False)
    with (
        pytest.raises(Refusal, match=r"there is no station in .*nowhere"),
        station_folder.opened(tmp_path / "nowhere"),
    ):
        pass
    assert not (tmp_path / "nowhere").exists()


# open files


@pytest.fixture
def exported(run, tmp_path):
    plans.keep(
        {
            "outing": "2026-09-27-a", "site": "sallowhorn-cove", "date": "2026-09-27", "hauls": 2,
            "permits": ["SC-24-031"], "nets": ["n1"], "crew": ["p1"], "people_present": 3,
            "looked_for": ["rock-gunnel"],
            "buckets": [{"place": "bucket 1", "purpose": "keep", "litres": 14.5}],
            "paper": [{"permit": "SC-24-031", "act": "notice-sent", "at": "2026-09-20T09:00:00-04:00"}],
        },
        "p1",
    )  # fmt: skip
    permit, now = permits.permits()[0], clock.now()
    first = permit.clauses[0]
    about = {
        "no": permit.no,
        "clause": first.id,
        "version": first.version,
        "digest": permits.clause_digest(first),
    }
    for by in ("p7", "p8"):
        Confirmation.objects.create(**about, by=by, at=now)
    reference.keep(Tank(key="q ü", litres=50.5), "p1")
    for name in ("odd/one", "odd-one"):
        LayoutFile.objects.create(name=name, number=1, text=f"# {name}\n", at=now, by="p1")
    scan = {"name": "notice.PDF", "media_type": "application/pdf", "size": 3, "content": b"%PD"}
    StoredFile.objects.create(sha256="a" * 64, **scan, at=now, by="p1")
    folder = tmp_path / "open"
    said = run("export", folder)
    assert "1 permits, 1 plans, 2 layouts, 1 files, 0 pictures" in said
    return folder


def test_the_exported_book_is_the_book(exported):
    assert read_book(exported / "book.jsonl").entries == book.whole_book().entries


def test_the_exported_station_reads_back_as_it_was(exported):
    assert read_station(exported / "station.toml") == reference.station()


def test_the_exported_permit_says_who_confirmed_its_clauses(exported):
    pack = load_pack("nwatlantic")
    read = [read_permit(path, pack) for path in sorted((exported / "permits").iterdir())]
    assert read == list(permits.permits())
    assert {"p7", "p8"} <= set(read[0].clauses[0].confirmed_by)


def test_the_exported_plan_reads_back_as_it_was(exported):
    assert read_plan(exported / "plans" / "2026-09-27-a.toml") == plans.read(plans.of_outing("2026-09-27-a"))


def test_exported_files_keep_their_endings_and_names_that_clash_stay_apart(exported):
    assert (exported / "files" / f"{'a' * 64}.PDF").read_bytes() == b"%PD"
    assert sorted(path.name for path in (exported / "layouts").iterdir()) == [
        "odd-one-2.toml",
        "odd-one.toml",
    ]


def test_the_account_command_takes_what_was_exported(exported, tmp_path):
    done = subprocess.run(
        [
            sys.executable, "-m", "haulbook", "account", str(exported / "book.jsonl"),
            "--site", str(exported / "station.toml"), "--permit", str(next((exported / "permits").iterdir())),
            "--out", str(tmp_path / "account"), "--json",
        ],
        capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip
    assert done.returncode in (0, 1), done.stderr
    assert json.loads(done.stdout)


def test_nothing_is_exported_over_something(run, tmp_path):
    (tmp_path / "open").mkdir()
    (tmp_path / "open" / "mine.txt").write_text("mine")
    with pytest.raises(Refusal, match=r"something stands in .*open already"):
        run("export", tmp_path / "open")
    assert [path.name for path in (tmp_path / "open").iterdir()] == ["mine.txt"]


# books


def remarks(n):
    """Lines of a device that the station has not heard of."""
    at = clock.instant(clock.now())
    drafts = [
        Draft(book.new_id(clock.now()), at, at, "p3", None, "remark", {"text": str(i)}) for i in range(n)
    ]
    return chain(drafts, "d77")


def test_a_book_is_brought_in_once(run, tmp_path):
    more = remarks(5)
    whole = book.whole_book()
    write_book(Book.of([*whole.entries, *more]), tmp_path / "copy.jsonl")
    assert json.loads(run("import", tmp_path / "copy.jsonl", "--json")) == {
        "new": 5,
        "known": len(whole.entries),
        "pictures": 0,
        "loose": [],
    }
    assert "0 new entries" in run("import", tmp_path / "copy.jsonl")


def test_gaps_that_come_with_a_book_are_told(run, tmp_path):
    more = remarks(5)
    write_book(Book.of([more[0], more[4]]), tmp_path / "copy.jsonl")
    assert json.loads(run("import", tmp_path / "copy.jsonl", "--json", status=1))["loose"] == ["gap d77 2-4"]
    write_book(Book.of(more), tmp_path / "whole.jsonl")
    assert json.loads(run("import", tmp_path / "whole.jsonl", "--json"))["loose"] == []


def test_a_book_with_a_changed_line_brings_nothing_in(run, tmp_path):
    write_book(book.whole_book(), tmp_path / "copy.jsonl")
    lines = (tmp_path / "copy.jsonl").read_bytes().split(b"\n")
    before = EntryRow.objects.count()
    lines[0] = re.sub(rb'"by":"p[0-9]+"', b'"by":"p99"', lines[0])
    (tmp_path / "copy.jsonl").write_bytes(b"\n".join(lines))
    with pytest.raises(Refusal, match="the hash does not match"):
        run("import", tmp_path / "copy.jsonl")
    assert EntryRow.objects.count() == before


def test_rebuild_and_verify_say_what_they_did(run):
    assert re.fullmatch(r"\d+ readings made anew\n", run("rebuild"))
    assert re.search(r"\d+ entries, all as written; book [0-9a-f]{64}", run("verify"))
    Person.objects.count()
    said = json.loads(run("verify", "--json"))
    assert (said["broken"], said["to_settle"]) == ([], [])


def test_verify_ends_with_2_where_something_is_broken(run):
    StoredFile.objects.create(
        sha256="a" * 64,
        name="x",
        media_type="text/plain",
        size=1,
        content=b"x",
        at="2026-01-01T00:00:00Z",
        by="p1",
    )
    assert "a" * 64 in json.loads(run("verify", "--json", status=2))["broken"][0]


# people


def link_in(said: str) -> str:
    return re.search(r"https?://\S+/enter/(\S+)/", said)[1]


def test_a_new_account_comes_in_by_a_link_from_anywhere(run, client):
    said = run(
        "user", "add", "anna", "--access", "keeper", "--name", "A.", "--at", "https://station.example.org/"
    )
    assert "https://station.example.org/enter/" in said
    person = Person.objects.get(login="anna")
    assert (person.access, person.role, person.name, person.key) == ("keeper", "keeper", "A.", "p91")
    assert Change.objects.filter(what="person", key="p91", by="-").exists()
    code = link_in(said)
    elsewhere = {"REMOTE_ADDR": "203.0.113.9"}
    assert client.get(f"/enter/{code}/", **elsewhere).status_code == 200
    assert client.post(f"/enter/{code}/", **elsewhere).status_code == 302
    assert client.session["_auth_user_id"] == str(person.pk)


def test_an_account_is_opened_for_somebody_who_is_there(run):
    reference.keep(Person(key="p50", role="crew"), "p1")
    run("user", "add", "ben", "--access", "viewer", "--person", "p50")
    person = Person.objects.get(key="p50")
    assert (person.login, person.access, person.role) == ("ben", "viewer", "crew")


@pytest.mark.parametrize(
    ("words", "refusal"),
    [
        (("x", "--access", "boss"), "no role of an account 'boss'"),
        (("x", "--access", "viewer", "--person", "p999"), "no person 'p999'"),
        (("lead-p1", "--access", "viewer"), "signs in as 'lead-p1' already"),
        (("x", "--access", "viewer", "--person", "p1"), "has the account 'lead-p1' already"),
    ],
)
def test_an_account_that_can_not_be_opened_is_refused(run, words, refusal):
    before = Person.objects.count()
    with pytest.raises(Refusal, match=refusal):
        run("user", "add", *words)
    assert Person.objects.count() == before


def test_everybody_with_an_account_is_listed(run):
    assert re.search(r"^lead-p1  p1  lead  last in never$", run("user", "list"), re.MULTILINE)
    rows = json.loads(run("user", "list", "--json"))
    assert {
        "login": "lead-p1",
        "person": "p1",
        "access": "lead",
        "open": True,
        "password": False,
        "last_in": None,
    } in rows


def test_a_forgotten_password_is_replaced_by_a_link(run, client):
    person = Person.objects.get(login="recorder-p3")
    person.set_password("a long enough one")
    person.save()
    code = link_in(run("user", "password", "recorder-p3"))
    person.refresh_from_db()
    assert not person.has_usable_password()
    assert one_time.take(code, one_time.SIGN_IN).person == person
    with pytest.raises(Refusal, match="no account 'recorder-p33'; the nearest is 'recorder-p3'"):
        run("user", "password", "recorder-p33")


def test_a_closed_account_lets_nobody_in_and_can_be_opened_again(run, signed_in):
    recorder = signed_in("recorder")
    login = Person.objects.filter(access="recorder").order_by("key").first().login
    assert recorder.get("/password/").status_code == 200
    run("user", "close", login)
    assert recorder.get("/password/").status_code == 302
    with pytest.raises(Refusal, match="is closed"):
        run("user", "password", login)
    run("user", "add", login, "--access", "viewer", "--person", Person.objects.get(login=login).key)
    assert Person.objects.get(login=login).is_active


def test_the_last_lead_stays(run):
    with pytest.raises(Refusal, match="the only lead"):
        run("user", "close", "lead-p1")
    run("user", "add", "second", "--access", "lead")
    run("user", "close", "lead-p1")
