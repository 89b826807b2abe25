"""Book files: JSON Lines, one canonical entry a line, each line ended by LF. Reading verifies every byte."""

from __future__ import annotations

import json
import os
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from haulbook.custody.book import Book
from haulbook.custody.canonical import dump_admitted
from haulbook.custody.chains import chain_faults
from haulbook.custody.entry import Entry, entry_from_json
from haulbook.problems import Problem, Refusal

MOST_SHOWN = 20
_BOM = b"\xef\xbb\xbf"


@dataclass(frozen=True, slots=True)
class Verified:
    """A book file as it was found.

    Attributes
    ----------
    book : Book
        Of the lines that are good.
    broken : tuple of Problem
        Lines that are not what was once written, first to last.
    loose : tuple of Problem
        Gaps and forks in the chains: every line is good, but some are missing or stand twice. A book with
        these can be read, and shows them as discrepancies.
    """

    book: Book
    broken: tuple[Problem, ...]
    loose: tuple[Problem, ...]

    @property
    def problems(self) -> tuple[Problem, ...]:
        """All that is off, by line."""
        return tuple(sorted((*self.broken, *self.loose), key=lambda problem: problem.row or 0))


def verify_book(path: Path) -> Verified:
    """Look at every byte of a book file.

    Raises
    ------
    Refusal
        Where the file can't be read at all.
    """
    lines, broken = _lines(path)
    rows: dict[Entry, int] = {}
    for row, line in lines:
        try:
            rows.setdefault(entry_of_line(line), row)
        except Refusal as refusal:
            words = "; ".join(problem.message for problem in refusal.problems)
            broken.append(Problem("refused", words, file=path.name, row=row))
    loose = [
        Problem(
            "refused",
            fault.words,
            file=path.name,
            row=min((rows[entry] for entry in fault.entries), default=None),
        )
        for fault in chain_faults(rows)
    ]
    return Verified(Book.of(rows), tuple(sorted(broken, key=lambda problem: problem.row or 0)), tuple(loose))


def read_book(path: Path) -> Book:
    """Read a book file.

    Raises
    ------
    Refusal
        Naming the lines that are not what was once written; nothing is read then. Gaps and forks are no
        reason: the book shows them as discrepancies.
    """
    found = verify_book(path)
    if found.broken:
        more = len(found.broken) - MOST_SHOWN
        rest = [Problem("refused", f"and {more} more lines are off", file=path.name)] if more > 0 else []
        raise Refusal([*found.broken[:MOST_SHOWN], *rest])
    return found.book


def write_book(book: Book, path: Path) -> None:
    """Write a book file in book order: whole, or not at all.

    Raises
    ------
    Refusal
        Where the file can't be written; an older one of that name is then as it was.
    """
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        with part.open("wb") as file:
            file.writelines(book_lines(book.entries))
            file.flush()
            os.fsync(file.fileno())
        part.replace(path)
    except OSError as error:
        part.unlink(missing_ok=True)
        raise Refusal(f"{path} could not be written ({error.strerror}); nothing was changed") from None


def book_lines(entries: Iterable[Entry]) -> Iterable[bytes]:
    """Yield entries as the lines of a book file, end of line included."""
    for entry in entries:
        yield f"{dump_admitted(entry.as_json())}\n".encode()


def _lines(path: Path) -> tuple[list[tuple[int, bytes]], list[Problem]]:
    """Return numbered lines without their ends, and what is off with the file as a whole."""
    try:
        data = path.read_bytes()
    except FileNotFoundError:
        raise Refusal(f"there is no file {path}") from None
    except IsADirectoryError:
        raise Refusal(f"{path} is a folder; name the book file in it") from None
    except OSError as error:
        raise Refusal(f"{path} could not be read ({error.strerror})") from None
    *lines, rest = data.split(b"\n")
    broken = []
    if rest:
        words = "the line has no end: the file was cut off or changed after it was written"
        broken.append(Problem("refused", words, file=path.name, row=len(lines) + 1))
    return list(enumerate(lines, 1)), broken


def entry_of_line(line: bytes) -> Entry:
    """Return the entry of one line of a book file, its end taken off.

    Raises
    ------
    Refusal
        With what is off, where the line is not byte by byte what an entry is written as.
    """
    if not line.strip():
        raise Refusal("the line is blank; a book file has one entry a line and nothing else")
    if line.startswith(_BOM):
        raise Refusal(
            "the line starts with a byte-order mark: another program saved this file; use the copy before"
        )
    if line.endswith(b"\r"):
        raise Refusal(
            "the line ends with CR LF, not LF: another program saved this file; use the copy before"
        )
    try:
        said = line.decode("utf-8")
    except UnicodeDecodeError as error:
        raise Refusal(f"byte {error.start + 1} of the line is not UTF-8") from None
    entry = entry_from_json(_json(said))
    canonical = dump_admitted(entry.as_json())
    if canonical != said:
        raise Refusal(
            f"the line is not in canonical form from character {_first_difference(canonical, said)} on"
        )
    return entry


def _json(said: str) -> Any:
    try:
        return json.loads(said)
    except json.JSONDecodeError as error:
        raise Refusal(f"the line is no JSON object from character {error.colno} on: {error.msg}") from None
    except (ValueError, RecursionError):  # a number of thousands of digits; lists thousands deep
        raise Refusal("the line is no entry: it holds a number too long or lists too deep to read") from None


def _first_difference(one: str, other: str) -> int:
    pairs = zip(one, other, strict=False)
    return next((n for n, (a, b) in enumerate(pairs, 1) if a != b), min(len(one), len(other)) + 1)
