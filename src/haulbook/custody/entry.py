"""Entries: what was written, by which device, as its how-manieth line, linked to the line before.

An entry is never changed. Its hash covers all of it but the hash, in canonical form; ``prev`` is the hash of
the same device's line before, so a gap or a changed byte shows.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from haulbook.custody.bodies import BODIES, faults_of
from haulbook.custody.canonical import admitted, canonical, dump_admitted, sha256_of
from haulbook.custody.ids import is_id, uuid7, uuid8
from haulbook.custody.when import When
from haulbook.problems import Problem, Refusal, nearest

__all__ = ["Draft", "Entry", "canonical", "chain", "entry_from_json", "uuid7", "uuid8"]

PERSON = re.compile(r"p[0-9]{1,9}")
_DEVICE = re.compile(r"[a-z][a-z0-9-]{0,63}")
_OUTING = re.compile(r"[^\s/\x00-\x1f\x7f]{1,64}")
_KIND = re.compile(r"[a-z][a-z0-9-]{0,63}")
_SHA256 = re.compile(r"[0-9a-f]{64}")
_KEYS = ("at", "body", "by", "device", "hash", "id", "kind", "made_at", "outing", "prev", "seq")
"""All keys of an entry, in canonical order."""


@dataclass(frozen=True, slots=True)
class Draft:
    """What somebody wants to write, before a device gives it number, link and hash.

    Attributes
    ----------
    id : str
        UUID: version 7 on devices, version 8 for lines read from a file.
    at : str
        When it happened: an instant with offset, or a date, month or year where the source has no more.
    made_at : str
        When it was written: an instant with offset.
    by : str
        A person's key, as ``p3``; never a name.
    outing : str or None
        None for station work: tanks and papers.
    kind : str
    body : mapping
        Keys as the kind asks (``docs/reference/book.md``). Never change it afterwards.
    """

    id: str
    at: str
    made_at: str
    by: str
    outing: str | None
    kind: str
    body: Mapping[str, Any]


@dataclass(frozen=True, slots=True, eq=False)
class Entry:
    """One line of the book. Two are the same when id and hash are.

    Attributes
    ----------
    id, at, made_at, by, outing, kind, body
        As in :class:`Draft`.
    device : str
        ``d1`` from enrolment, ``desk``, or ``file-`` and 12 digits for a file.
    seq : int
        1, 2, 3 ... per device.
    prev : str or None
        Hash of the device's entry before; None for its first.
    hash : str
        Lower-case SHA-256 of the canonical form without ``hash``.
    when : When
        ``at``, read.
    """

    id: str
    device: str
    seq: int
    at: str
    made_at: str
    by: str
    outing: str | None
    kind: str
    body: Mapping[str, Any]
    prev: str | None
    hash: str
    when: When = field(init=False, repr=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "when", When(self.at))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Entry) and (self.id, self.hash) == (other.id, other.hash)

    def __hash__(self) -> int:
        return hash(self.hash)

    def as_json(self) -> dict[str, Any]:
        """Return the entry as one JSON object, keys in canonical order."""
        return {key: getattr(self, key) for key in _KEYS}


def chain(drafts: Iterable[Draft], device: str, after: Entry | None = None) -> tuple[Entry, ...]:
    """Number, link and hash drafts as the next lines of a device.

    Parameters
    ----------
    drafts : iterable of Draft
        In the order in which they were written.
    device : str
        Key of the device.
    after : Entry or None
        The device's last entry so far.

    Raises
    ------
    Refusal
        With everything that is off in any of the drafts; nothing is written then.
    """
    problems: list[Problem] = []
    if not _DEVICE.fullmatch(device):
        problems.append(
            Problem("refused", f"the device is {device!r}; it takes a key as d1, desk or file-0123456789ab")
        )
    if after is not None and after.device != device:
        problems.append(Problem("refused", f"{device} can't go on after an entry of {after.device}"))
    seq, prev = (after.seq, after.hash) if after else (0, None)
    entries: list[Entry] = []
    for number, draft in enumerate(drafts, 1):
        faults: list[str] = []
        values = _admitted_values(draft, faults)
        faults = faults or _faults(values)
        if faults:
            problems += [Problem("refused", f"entry {number} ({draft.kind}): {fault}") for fault in faults]
        if problems:
            continue
        seq += 1
        values |= {"device": device, "seq": seq, "prev": prev}
        prev = _hash(values)
        entries.append(Entry(**values, hash=prev))
    if problems:
        raise Refusal(problems)
    return tuple(entries)


def entry_from_json(obj: Any) -> Entry:
    """Return the entry that a JSON object holds, its shape and hash checked.

    Raises
    ------
    Refusal
        With everything that is off; a hash that does not match is one of them.
    """
    if not isinstance(obj, dict):
        raise Refusal("an entry is a JSON object")
    values: dict[str, Any] = admitted(obj, "", mend=False)
    faults = [_unknown(key) for key in values if key not in _KEYS]
    faults += [f"{key} is missing" for key in _KEYS if key not in values]
    faults = faults or [*_chain_faults(values), *_faults(values)]
    if not faults:
        said = values.pop("hash")
        if _hash(values) == said:
            return Entry(**values, hash=said)
        faults = [
            f"the hash does not match: written is {said}, and what is written there makes {_hash(values)}"
        ]
    raise Refusal(Problem("refused", fault) for fault in faults)


def _admitted_values(draft: Draft, faults: list[str]) -> dict[str, Any]:
    values = {name: getattr(draft, name) for name in ("at", "body", "by", "id", "kind", "made_at", "outing")}
    try:
        admitted_values: dict[str, Any] = admitted(values, "")
    except Refusal as refusal:
        faults += [problem.message for problem in refusal.problems]
        return values
    return admitted_values


def _hash(values: Mapping[str, Any]) -> str:
    return sha256_of(dump_admitted({key: values[key] for key in _KEYS if key != "hash"}))


def _unknown(key: str) -> str:
    near = nearest(key, _KEYS)
    return f"an entry has no key {key!r}" + (f"; the nearest is {near[0]!r}" if near else "")


def _is(pattern: re.Pattern[str]) -> Callable[[Any], bool]:
    return lambda value: isinstance(value, str) and pattern.fullmatch(value) is not None


def _time(value: Any) -> bool:
    if not isinstance(value, str):
        return False
    try:
        When(value)
    except Refusal:
        return False
    return True


_ENVELOPE: dict[str, tuple[Callable[[Any], bool], str]] = {
    "id": (lambda value: isinstance(value, str) and is_id(value), "a UUID in lower case"),
    "at": (_time, "an instant with offset, as 2027-05-14T06:52:10-04:00, or 2027-05-14, 2027-05 or 2027"),
    "made_at": (
        lambda value: _time(value) and "T" in value,
        "an instant with offset, as 2027-05-14T06:52:10-04:00",
    ),
    "by": (_is(PERSON), "a person's key, as p3, never a name"),
    "outing": (lambda value: value is None or _is(_OUTING)(value), "an outing, as 2027-05-14-a, or null"),
    "kind": (_is(_KIND), f"a kind, as {', '.join(list(BODIES)[:3])}"),
}
_LINKS: dict[str, tuple[Callable[[Any], bool], str]] = {
    "device": (_is(_DEVICE), "the key of a device, as d1, desk or file-0123456789ab"),
    "seq": (lambda value: type(value) is int and value >= 1, "a whole number from 1 on"),
    "prev": (
        lambda value: value is None or _is(_SHA256)(value),
        "a SHA-256, or null for a device's first entry",
    ),
    "hash": (_is(_SHA256), "a SHA-256"),
}


def _off(values: Mapping[str, Any], table: Mapping[str, tuple[Callable[[Any], bool], str]]) -> list[str]:
    return [
        f"{key} is {values[key]!r}; it takes {wanted}"
        for key, (good, wanted) in table.items()
        if not good(values[key])
    ]


def _faults(values: Mapping[str, Any]) -> list[str]:
    faults = _off(values, _ENVELOPE)
    if faults and not isinstance(values["kind"], str):
        return faults
    return faults + faults_of(values["kind"], values["body"], values["outing"], values["id"])


def _chain_faults(values: Mapping[str, Any]) -> list[str]:
    faults = _off(values, _LINKS)
    if not faults and (values["seq"] == 1) != (values["prev"] is None):
        faults.append(
            f"seq is {values['seq']} and prev is {values['prev']!r}; the first entry, "
            "and only the first, has no prev"
        )
    return faults
