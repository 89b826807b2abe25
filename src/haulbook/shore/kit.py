"""The outing kit: one JSON text that holds all a phone needs at the beach.

The text is the RFC 8785 form of its content, so the same content is the same bytes in two languages; ``digest`` is
the SHA-256 of that form without ``digest``.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import datetime
from typing import Any, Literal

from pydantic import ValidationError

from haulbook.custody.book import Book, merge
from haulbook.custody.canonical import admitted, canonical, dump_admitted, sha256_of
from haulbook.custody.entry import entry_from_json
from haulbook.custody.when import When
from haulbook.problems import Problem, Refusal
from haulbook.shore.shape import (
    Clause,
    Condition,
    Oxygen,
    PackName,
    Part,
    Past,
    PermitName,
    Person,
    Place,
    Stop,
    Sun,
    Taxon,
    Tide,
    Words,
)

FORMAT = 1
"""Version of the kit's form. A reader takes no other."""

MOST_COMPRESSED = 250_000
"""Bytes that a kit may take up compressed: a phone with one bar of signal fetches it in the car park."""

_OFF = {"missing": "is missing", "extra_forbidden": "is no key of a kit"}


class Kit(Part):
    """One kit. Every key is always there; ``tide`` is null for a site without a tide station.

    ``zone`` is the site's (IANA): every time on the screen is in it.
    """

    kit: Literal[1]
    made_at: str
    digest: str
    zone: str
    plan: dict[str, Any]
    plan_digest: str
    pack: PackName
    permits: tuple[PermitName, ...]
    crew: tuple[Person, ...]
    places: tuple[Place, ...]
    looked_for: tuple[str, ...]
    keep_device: str | None
    taxa: tuple[Taxon, ...]
    words: Words
    past: Past
    clauses: tuple[Clause, ...]
    conditions: tuple[Condition, ...]
    stops: tuple[Stop, ...]
    tide: Tide | None
    sun: Sun
    oxygen: Oxygen
    company: dict[str, Any]
    identify: dict[str, Any]
    cautions: tuple[str, ...]
    to_settle: tuple[str, ...]
    entries: tuple[dict[str, Any], ...]

    @property
    def outing(self) -> str:
        """The outing it is for."""
        return str(self.plan["outing"])

    @property
    def made(self) -> datetime:
        """When it was made."""
        return datetime.fromisoformat(self.made_at)


def seal(kit: Kit) -> Kit:
    """Return a kit with its text in NFC, its numbers in their one form, and its digest.

    Raises
    ------
    Refusal
        A number that has no one form, as one with more than four decimals.
    """
    content = admitted(kit.model_dump(mode="json", exclude_defaults=True, exclude={"digest"}), "the kit")
    return Kit.model_validate({**content, "digest": sha256_of(dump_admitted(content))}, strict=False)


def kit_bytes(kit: Kit) -> bytes:
    """Return the one text of a sealed kit, ended by a line feed."""
    return (canonical(kit.model_dump(mode="json", exclude_defaults=True)) + "\n").encode()


def read_kit(text: bytes, file: str | None = None) -> Kit:
    """Read a kit back.

    Parameters
    ----------
    text : bytes
    file : str or None
        How to call it in a refusal.

    Raises
    ------
    Refusal
        No kit, another format, unknown or missing keys, an entry that is not what was once written, or bytes
        that changed since it was made; all that is found together.
    """
    found = _parsed(text, file)
    if found.get("kit") != FORMAT:
        said = (
            f"this is no kit of format {FORMAT}, the one that is read here: make it anew with `haulbook kit`"
        )
        raise Refusal(Problem("refused", said, file=file, column="kit"))
    try:
        kit = Kit.model_validate_json(text)
    except ValidationError as error:
        raise Refusal(
            Problem(
                "refused",
                _OFF.get(one["type"], f"is not what a kit holds there ({one['msg']})"),
                file=file,
                column=".".join(str(step) for step in one["loc"]),
            )
            for one in error.errors(include_url=False, include_context=False, include_input=False)
        ) from None
    faults = [*_unlike_itself(kit), *_foreign_entries(kit)]
    if faults:
        raise Refusal(Problem("refused", said, file=file, column=key) for key, said in faults)
    return kit


def kit_book(kit: Kit) -> Book:
    """Return the entries that a kit brings along."""
    return Book.of(entry_from_json(one) for one in kit.entries)


def merge_kits(one: Kit, other: Kit) -> Kit:
    """Return the newer of two kits of one outing, with the entries of both.

    The order of the two, and merging again, change nothing. The digest is that of what was merged, so a device
    that asks for newer kits compares the digest that it was handed.

    Raises
    ------
    Refusal
        The kits are of two outings.
    """
    if one.outing != other.outing:
        raise Refusal(
            f"one kit is for {one.outing}, the other for {other.outing}; only kits of one outing go together"
        )
    book = merge(kit_book(one), kit_book(other))
    newer = max(one, other, key=lambda kit: (kit.made, "" if one.made != other.made else _but_entries(kit)))
    return seal(newer.model_copy(update={"entries": tuple(entry.as_json() for entry in book.entries)}))


def age_words(kit: Kit, now: datetime) -> str:
    """Return how old a kit is, as ``3 h 20 min old``; a clock that runs behind is said."""
    minutes = int((now - kit.made).total_seconds()) // 60
    if minutes < 0:
        return f"made {_span(-minutes)} ahead of this clock: set the clock"
    return f"{_span(minutes)} old"


def _span(minutes: int) -> str:
    if minutes < 60:
        return f"{minutes} min"
    if minutes < 48 * 60:
        return f"{minutes // 60} h {minutes % 60:02d} min"
    return f"{minutes // 1440} days"


def _but_entries(kit: Kit) -> str:
    """Return what a newer kit replaces, as text: of two made at one instant the same is taken, in either order."""
    return canonical(kit.model_dump(mode="json", exclude_defaults=True, exclude={"digest", "entries"}))


def _parsed(text: bytes, file: str | None) -> Mapping[str, Any]:
    try:
        found = json.loads(text)
    except (ValueError, RecursionError):
        found = None
    if not isinstance(found, dict):
        raise Refusal(Problem("refused", "this is no kit: it is not one JSON object", file=file))
    return found


def _unlike_itself(kit: Kit) -> list[tuple[str, str]]:
    faults = []
    try:
        if When(kit.made_at).instant is None:
            faults.append(("made_at", f"is {kit.made_at}; a kit is made at an instant"))
        rest = kit.model_dump(mode="json", exclude_defaults=True, exclude={"digest"})
        if sha256_of(canonical(rest)) != kit.digest:
            faults.append(("digest", "does not match: the kit changed since it was made; fetch it again"))
        if not isinstance(kit.plan.get("outing"), str):
            faults.append(("plan.outing", "is missing: a kit is for one outing"))
    except Refusal as refusal:
        faults += [("", problem.message) for problem in refusal.problems]
    return faults


def _foreign_entries(kit: Kit) -> list[tuple[str, str]]:
    faults = []
    for i, found in enumerate(kit.entries):
        try:
            entry = entry_from_json(found)
        except Refusal as refusal:
            faults += [(f"entries.{i}", problem.message) for problem in refusal.problems]
            continue
        if entry.outing != kit.plan.get("outing"):
            faults.append((f"entries.{i}", f"is of {entry.outing}, the kit for {kit.plan.get('outing')}"))
    return faults
