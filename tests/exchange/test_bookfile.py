"""Book files: what is written reads back, and no changed byte goes unseen."""

from __future__ import annotations

import json
import os

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from haulbook.custody.book import Book, merge
from haulbook.custody.canonical import canonical, sha256_of
from haulbook.custody.entry import Draft, chain, uuid8
from haulbook.exchange.bookfile import read_book, verify_book, write_book
from haulbook.problems import Refusal

OUTING = "2027-05-14-a"  # an invented outing


def entries(device, count):
    drafts = [
        Draft(
            uuid8(f"{device} {n}".encode()),
            f"2027-05-14T06:{n:02d}:00-04:00",
            f"2027-05-14T06:{n:02d}:05-04:00",
            "p3",
            OUTING,
            "move",
            {
                "lines": [
                    {
                        "from": "sea",
                        "to": "net",
                        "n": n,
                        "taxon": "cunner",
                        "haul": f"{OUTING}/1",
                        "said": f"{n} cunner – “naïve”",
                    }
                ]
            },
        )
        for n in range(1, count + 1)
    ]
    return chain(drafts, device)


BOOK = Book.of([*entries("d1", 3), *entries("d2", 2)])


@pytest.fixture
def path(tmp_path):
    path = tmp_path / "book.jsonl"
    write_book(BOOK, path)
    return path


def refusal(path):
    with pytest.raises(Refusal) as refused:
        read_book(path)
    return [str(problem) for problem in refused.value.problems]


def test_a_book_is_written_one_canonical_entry_a_line_and_reads_back(path):
    data = path.read_bytes()
    assert data.endswith(b"}\n")
    lines = data.decode().splitlines()
    assert [canonical(json.loads(line)) for line in lines] == lines
    assert read_book(path) == BOOK
    assert verify_book(path).problems == ()


def test_writing_leaves_nothing_beside_the_file_and_replaces_the_older_one(path):
    write_book(Book.of(entries("d1", 1)), path)
    assert [file.name for file in path.parent.iterdir()] == ["book.jsonl"]
    assert len(read_book(path).entries) == 1


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_any_changed_byte_is_found(path, data):
    good = path.read_bytes()
    where = data.draw(st.integers(0, len(good) - 1))
    other = data.draw(st.integers(0, 255).filter(lambda byte: byte != good[where]))
    changed = path.with_name("changed.jsonl")
    changed.write_bytes(good[:where] + bytes([other]) + good[where + 1 :])
    found = verify_book(changed)
    assert found.broken
    row = good[:where].count(b"\n") + 1
    assert found.broken[0].row in (row, row + 1)
    with pytest.raises(Refusal):
        read_book(changed)


@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_any_byte_put_in_or_left_out_is_found(path, data):
    good = path.read_bytes()
    where = data.draw(st.integers(0, len(good) - 1))
    byte = data.draw(st.integers(0, 255))
    changed = path.with_name("changed.jsonl")
    for bad in (good[:where] + bytes([byte]) + good[where:], good[:where] + good[where + 1 :]):
        changed.write_bytes(bad)
        assert verify_book(changed).broken


def test_a_line_changed_and_hashed_anew_breaks_the_chain(path):
    lines = path.read_text(encoding="utf-8").splitlines()
    values = json.loads(lines[0])
    values["body"]["lines"][0]["n"] = 99
    del values["hash"]
    values["hash"] = sha256_of(canonical(values))
    path.write_text("\n".join([canonical(values), *lines[1:]]) + "\n", encoding="utf-8")
    found = verify_book(path)
    assert found.broken == ()
    (problem,) = found.loose
    assert str(problem) == (
        "book.jsonl, row 2: 2 of d1 goes on after another entry 1 than the one that is here: "
        "one of the two was changed, or written in a second copy of the device"
    )


def test_a_line_taken_out_is_a_gap_that_can_be_read_and_is_named_by_verify(path):
    lines = path.read_bytes().splitlines(keepends=True)
    path.write_bytes(b"".join(lines[:1] + lines[2:]))
    assert [str(problem) for problem in verify_book(path).loose] == [
        "book.jsonl, row 2: 2 of d1 is not here: bring in what that device still holds, or a saved copy of it"
    ]
    assert len(read_book(path).entries) == 4


def test_a_book_with_a_fork_is_written_and_read(tmp_path):
    other = chain(
        [Draft(uuid8(b"x"), "2027-05-14", "2027-05-14T06:01:05-04:00", "p3", OUTING, "outing-closed", {})],
        "d1",
    )
    forked = merge(BOOK, Book.of(other))
    write_book(forked, tmp_path / "forked.jsonl")
    assert read_book(tmp_path / "forked.jsonl") == forked
    assert [problem.row for problem in verify_book(tmp_path / "forked.jsonl").loose] == [1]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (
            lambda data: data[:-1],
            "book.jsonl, row 5: the line has no end: the file was cut off or changed after it was written",
        ),
        (lambda data: data[:-40], "book.jsonl, row 5: the line has no end"),
        (
            lambda data: data.replace(b"\n", b"\r\n"),
            "book.jsonl, row 1: the line ends with CR LF, not LF: another program saved this file",
        ),
        (
            lambda data: data + b"\n",
            "book.jsonl, row 6: the line is blank; a book file has one entry a line and nothing else",
        ),
        (lambda data: b"\xef\xbb\xbf" + data, "book.jsonl, row 1: the line starts with a byte-order mark"),
        (
            lambda data: data.replace(b"\xe2\x80\x93", b"\x96", 1),
            "book.jsonl, row 1: byte 113 of the line is not UTF-8",
        ),
        (
            lambda data: b"PK\x03\x04\n" + data,
            "book.jsonl, row 1: the line is no JSON object from character 1 on: Expecting value",
        ),
        (lambda data: b"[1]\n" + data, "book.jsonl, row 1: an entry is a JSON object"),
        (
            lambda data: b"[" * 100_000 + b"\n" + data,
            "the line is no entry: it holds a number too long or lists too deep to read",
        ),
        (lambda data: b"9" * 10_000 + b"\n" + data, "the line is no entry: it holds a number too long"),
        (
            lambda data: data.replace(b'"at":', b'"at": ', 1),
            "book.jsonl, row 1: the line is not in canonical form from character 7 on",
        ),
        (
            lambda data: data.replace(b'"n":1,', b'"n":1.0,', 1),
            "book.jsonl, row 1: the line is not in canonical form from character",
        ),
        (lambda data: data.replace(b'"n":1,', b'"n":7,', 1), "book.jsonl, row 1: the hash does not match"),
    ],
)
def test_what_another_program_or_a_hand_did_to_the_file_is_said_by_line(path, change, words):
    path.write_bytes(change(path.read_bytes()))
    assert any(words in said for said in refusal(path)), refusal(path)


def test_many_bad_lines_are_reported_together_but_not_without_end(path):
    path.write_bytes(b"x\n" * 100)
    said = refusal(path)
    assert len(said) == 21
    assert said[-1] == "book.jsonl: and 80 more lines are off"


def test_an_empty_file_is_an_empty_book(tmp_path):
    (tmp_path / "empty.jsonl").write_bytes(b"")
    assert read_book(tmp_path / "empty.jsonl") == Book()
    write_book(Book(), tmp_path / "again.jsonl")
    assert (tmp_path / "again.jsonl").read_bytes() == b""


def test_a_missing_file_and_a_folder_are_said_so(tmp_path):
    with pytest.raises(Refusal, match=r"there is no file .*nowhere\.jsonl"):
        read_book(tmp_path / "nowhere.jsonl")
    with pytest.raises(Refusal, match="is a folder; name the book file in it"):
        read_book(tmp_path)


def test_a_file_that_can_not_be_written_leaves_the_older_one_as_it_was(path, monkeypatch):
    before = path.read_bytes()

    def full(_descriptor):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(
        Refusal, match=r"could not be written \(No space left on device\); nothing was changed"
    ):
        write_book(Book(), path)
    assert path.read_bytes() == before
    assert [file.name for file in path.parent.iterdir()] == ["book.jsonl"]


def test_a_folder_that_is_not_there_is_said_so(tmp_path):
    with pytest.raises(Refusal, match=r"could not be written \(No such file or directory\)"):
        write_book(BOOK, tmp_path / "no" / "book.jsonl")
