"""What a phone and the station say to each other, and what becomes of each entry that is handed in.

``docs/reference/sync.md`` describes the protocol. Nothing here stores anything: :func:`judge` says which entries of
a batch are new, :func:`respond` what a station with a given book answers.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Container, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal

from pydantic import AwareDatetime, BaseModel, ConfigDict, Field, ValidationError

from haulbook.custody.entry import Entry, entry_from_json
from haulbook.problems import Problem, Refusal

MOST_ENTRIES = 500
"""Entries in one request, and in one answer."""

MOST_BYTES = 65_536
"""Bytes of an entry, written as JSON without spaces: 64 kB."""

_LONGEST_ID = 64


class Said(BaseModel):
    """What all parts of the protocol share: nothing unknown is taken in, nothing is changed afterwards."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class EntryShape(Said):
    """An entry as it travels; ``docs/reference/book.md`` explains every key."""

    at: str
    body: dict[str, Any]
    by: str
    device: str
    hash: str
    id: str
    kind: str
    made_at: str
    outing: str | None
    prev: str | None
    seq: int = Field(ge=1)


class SyncRequest(Said):
    """What a phone hands in, and how far it has heard.

    ``entries`` are looked at one by one, so that one of them never holds up the others. ``sent_at`` is the phone's
    clock when it asked.
    """

    device: str = Field(min_length=1, max_length=64)
    cursor: str | None = Field(max_length=200)
    entries: list[Any] = Field(max_length=MOST_ENTRIES)
    sent_at: AwareDatetime | None = None


class Verdict(Said):
    """What became of one entry. ``id`` is null for what has none; ``why`` is there where it was rejected."""

    id: str | None
    answer: Literal["stored", "duplicate", "rejected"]
    why: str | None = None


class SyncAnswer(Said):
    """A verdict for each entry, in the order in which they came, and what the phone has not heard yet.

    ``cursor`` goes into the next request as it is; ``more``: ask again at once. ``kit_digest`` is that of the newest
    kit made for the outing; null where there is none.
    """

    answers: list[Verdict]
    entries: list[EntryShape]
    cursor: str
    more: bool
    server_time: AwareDatetime
    kit_digest: str | None


class EnrolRequest(Said):
    """A code that the lead was shown, and the key of a phone that has one."""

    code: str = Field(min_length=1, max_length=64)
    device: str | None = Field(default=None, max_length=64)


class Enrolled(Said):
    """What a phone keeps: its key, its token, and who it usually writes for (null: it asks)."""

    device: str
    token: str
    person: str | None


class KitName(Said):
    """A kit that a phone may take along: the newest of its outing."""

    outing: str
    site: str
    made_at: str
    digest: str


class UnknownCursor(Refusal):
    """The cursor is none of this book: it was brought back from a backup. The phone sends everything again."""


@dataclass(frozen=True, slots=True)
class Judgement:
    """Verdicts in the order of the batch, and the entries that are new, to be stored in this order."""

    verdicts: tuple[Verdict, ...]
    new: tuple[Entry, ...]


def read_request(text: bytes) -> SyncRequest:
    """Read what a phone sent.

    Raises
    ------
    Refusal
        It is no request, or more than 500 entries came at once; nothing of it is stored then.
    """
    try:
        found = json.loads(text)
    except (ValueError, RecursionError):
        raise Refusal("this is no JSON, or holds lists or numbers too long to read") from None
    entries = found.get("entries") if isinstance(found, dict) else None
    if isinstance(entries, list) and len(entries) > MOST_ENTRIES:
        raise Refusal(
            f"{len(entries)} entries came in one request, which takes at most {MOST_ENTRIES}: send them in several"
        )
    try:
        return SyncRequest.model_validate(found)
    except ValidationError as error:
        raise Refusal(
            Problem("refused", one["msg"], column=".".join(str(step) for step in one["loc"]) or None)
            for one in error.errors(include_url=False, include_context=False, include_input=False)
        ) from None


def judge(batch: Iterable[Any], device: str, known: Container[str]) -> Judgement:
    """Say of each entry of a batch whether it is to be stored.

    Only what is no well-formed entry of this device is rejected. What an entry says is judged later, from the whole
    book: one that contradicts another, forks a chain or leaves a gap is stored, and shows as a discrepancy.

    Parameters
    ----------
    batch : iterable of Any
        As read from JSON.
    device : str
        Key of the device whose token came with the request.
    known : container of str
        Hashes of the entries that are stored; asked only for hashes that were checked.
    """
    verdicts: list[Verdict] = []
    new: dict[str, Entry] = {}
    for said in batch:
        id_ = said.get("id") if isinstance(said, dict) else None
        id_ = id_ if isinstance(id_, str) and len(id_) <= _LONGEST_ID else None
        try:
            entry = _taken_in(said, device)
        except Refusal as refusal:
            why = "; ".join(problem.message for problem in refusal.problems)
            verdicts.append(Verdict(id=id_, answer="rejected", why=why))
            continue
        if entry.hash in new or entry.hash in known:
            verdicts.append(Verdict(id=id_, answer="duplicate"))
        else:
            new[entry.hash] = entry
            verdicts.append(Verdict(id=id_, answer="stored"))
    return Judgement(tuple(verdicts), tuple(new.values()))


def respond(
    request: SyncRequest,
    device: str,
    held: Sequence[Entry],
    *,
    book: str,
    server_time: datetime,
    kit_digest: str | None = None,
    wanted: Callable[[Entry], bool] = lambda _: True,
) -> tuple[tuple[Entry, ...], SyncAnswer]:
    """Return what a station stores of a request, and its answer.

    A station with a database answers the same from two queries: which of the hashes it has, and what came in after
    the cursor.

    Parameters
    ----------
    request : SyncRequest
    device : str
        Key of the device whose token came with it.
    held : sequence of Entry
        In the order in which they came in.
    book : str
        Names this book in cursors; another one after a backup was brought back.
    server_time : datetime
    kit_digest : str or None
    wanted : callable
        Which entries phones are sent, beside their own: those of open outings.

    Raises
    ------
    Refusal
        The request names another device than the token, or (UnknownCursor) a cursor of another book.
    """
    if request.device != device:
        raise Refusal(f"the request is of {request.device}, its token of {device}: enrol the device anew")
    after = cursor_position(request.cursor, book, len(held))
    judged = judge(request.entries, device, {entry.hash for entry in held})
    brought = {
        said["hash"] for said in request.entries if isinstance(said, dict) and _is_text(said.get("hash"))
    }
    everything = (*held, *judged.new)
    unheard = [
        (position, entry)
        for position, entry in enumerate(everything[after:], after + 1)
        if entry.hash not in brought and (entry.device == device or wanted(entry))
    ]
    sent, more = unheard[:MOST_ENTRIES], len(unheard) > MOST_ENTRIES
    answer = SyncAnswer(
        answers=list(judged.verdicts),
        entries=[EntryShape(**entry.as_json()) for _, entry in sent],
        cursor=cursor_text(book, sent[-1][0] if more else len(everything)),
        more=more,
        server_time=server_time,
        kit_digest=kit_digest,
    )
    return judged.new, answer


def cursor_text(book: str, position: int) -> str:
    """Return the cursor of a phone that has heard all up to ``position``, the how-manieth entry that came in."""
    return f"{book}:{position}"


def cursor_position(cursor: str | None, book: str, last: int) -> int:
    """Return the position up to which a phone has heard; 0 for one that has heard nothing.

    Raises
    ------
    UnknownCursor
        It is of another book, or beyond ``last``: what this phone handed in may be gone here.
    """
    if cursor is None:
        return 0
    name, _, position = cursor.rpartition(":")
    if name != book or not (position.isascii() and position.isdigit()) or int(position) > last:
        raise UnknownCursor(
            "this book does not know how far the phone has heard, as after a backup was brought back: "
            "send everything again"
        )
    return int(position)


def clock_off_s(request: SyncRequest, server_time: datetime) -> float | None:
    """Return the seconds by which a phone's clock is ahead (below zero: behind), or None where it did not say."""
    return None if request.sent_at is None else (request.sent_at - server_time).total_seconds()


def _taken_in(said: Any, device: str) -> Entry:
    size = _bytes_of(said)
    if size > MOST_BYTES:
        raise Refusal(f"the entry has {size} bytes; one takes at most {MOST_BYTES}: write it as several")
    entry = entry_from_json(said)
    if entry.device != device:
        raise Refusal(
            f"the entry is of {entry.device}, and {device} sent it: a device hands in its own; "
            "bring the others in at the station, from a saved copy"
        )
    return entry


def _bytes_of(said: Any) -> int:
    try:
        text = json.dumps(said, ensure_ascii=False, separators=(",", ":"))
    except RecursionError:
        raise Refusal("the entry holds lists or objects too deep to read") from None
    return len(text.encode("utf-8", "surrogatepass"))


def _is_text(value: Any) -> bool:
    return isinstance(value, str)
