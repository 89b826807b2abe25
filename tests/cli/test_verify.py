"""The command that says whether a book is still what was written."""

from __future__ import annotations

import json

import pytest
import typer
from typer.testing import CliRunner

from haulbook.cli import verify
from haulbook.custody.book import Book
from haulbook.custody.entry import Draft, chain, uuid8
from haulbook.exchange.bookfile import write_book
from haulbook.problems import Refusal


@pytest.fixture
def run():
    app = typer.Typer()
    app.callback()(lambda: None)
    verify.register(app)
    return lambda *words: CliRunner().invoke(app, ["verify", *map(str, words)])


@pytest.fixture
def book(tmp_path):
    drafts = [
        Draft(
            uuid8(bytes([n])),
            "2027-05-14",
            "2027-05-14T09:00:00-04:00",
            "p3",
            "2027-05-14-a",
            "remark",
            {"text": f"invented {n}"},
        )
        for n in range(3)
    ]
    path = tmp_path / "book.jsonl"
    write_book(Book.of(chain(drafts, "d1")), path)
    return path


def test_a_book_that_stands_is_said_to_stand(run, book):
    result = run(book)
    assert result.exit_code == 0
    assert result.stdout == f"{book}: 3 entries, all as written (d1 1 to 3)\n"
    assert json.loads(run(book, "--json").stdout) == {
        "book": str(book),
        "entries": 3,
        "last": {"d1": 3},
        "first_bad_line": None,
        "problems": [],
    }


def test_the_first_bad_line_is_named_with_exit_status_2(run, book):
    book.write_bytes(book.read_bytes().replace(b"invented 1", b"invented 9"))
    result = run(book)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert result.stderr.startswith("refused: book.jsonl, row 2: the hash does not match: written is ")
    assert "1 more; --json lists them" in result.stderr


def test_json_lists_every_problem_and_status_is_still_2(run, book):
    lines = book.read_bytes().splitlines(keepends=True)
    book.write_bytes(lines[0] + lines[2])
    result = run(book, "--json")
    assert result.exit_code == 2
    said = json.loads(result.stdout)
    assert said["first_bad_line"] == 2
    assert [(one["row"], one["message"].split(":")[0]) for one in said["problems"]] == [
        (2, "2 of d1 is not here")
    ]


def test_an_empty_book_stands(run, tmp_path):
    (tmp_path / "empty.jsonl").touch()
    result = run(tmp_path / "empty.jsonl")
    assert (result.exit_code, result.stdout) == (
        0,
        f"{tmp_path / 'empty.jsonl'}: 0 entries, all as written\n",
    )


def test_a_missing_book_is_refused(run, tmp_path):
    result = run(tmp_path / "nowhere.jsonl")
    assert isinstance(result.exception, Refusal)
    assert "there is no file" in str(result.exception)
