"""What changes from one version of a permit's file to the next: heading, lists, and each clause by field."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields, is_dataclass, replace
from datetime import date, datetime
from fractions import Fraction
from typing import Any, Literal

from haulbook.permit.measure import plain
from haulbook.permit.model import Clause, Permit

Fields = tuple[tuple[str, str, str], ...]
"""(dotted field, what it was, what it is); empty where nobody said."""


@dataclass(frozen=True, slots=True)
class ClauseChange:
    """One version of a clause that is new, gone, or not as it was.

    Attributes
    ----------
    clause : str
    version : int
    kind : {"added", "removed", "changed"}
    fields : Fields
    anew : bool
        Two people have to compare it with the paper again.
    """

    clause: str
    version: int
    kind: Literal["added", "removed", "changed"]
    fields: Fields
    anew: bool


@dataclass(frozen=True, slots=True)
class PermitChanges:
    """All that differs between two versions of a file."""

    heading: Fields
    clauses: tuple[ClauseChange, ...]

    @property
    def none(self) -> bool:
        """Whether the permit says the same."""
        return not self.heading and not self.clauses


def permit_changes(before: Permit | None, now: Permit) -> PermitChanges:
    """Return what differs; without a version before, everything is added."""
    old = {(one.id, one.version): one for one in before.clauses} if before else {}
    new = {(one.id, one.version): one for one in now.clauses}
    heading = _differing(_heading(before) if before else {}, _heading(now))
    return PermitChanges(heading, tuple(_clauses(old, new)))


def asks_anew(before: Clause | None, now: Clause) -> bool:
    """Say whether a clause says something else than before, so that it has to be compared with the paper again.

    That a later version ends it changes nothing in its own words.
    """
    return before is None or _alone(before) != _alone(now)


def _alone(clause: Clause) -> Clause:
    return replace(clause, confirmed_by=(), effective_to=None)


def _clauses(
    old: dict[tuple[str, int], Clause], new: dict[tuple[str, int], Clause]
) -> Iterator[ClauseChange]:
    for key in dict.fromkeys([*new, *old]):
        was, now = old.get(key), new.get(key)
        if now is None:
            yield ClauseChange(*key, "removed", (), False)
        elif was is None:
            yield ClauseChange(*key, "added", _differing({}, _flat(now)), True)
        elif was != now:
            yield ClauseChange(*key, "changed", _differing(_flat(was), _flat(now)), asks_anew(was, now))


def _heading(permit: Permit) -> dict[str, str]:
    return {key: words for key, words in _flat(permit).items() if not key.startswith("clauses")}


def _differing(was: dict[str, str], now: dict[str, str]) -> Fields:
    return tuple(
        (name, was.get(name, ""), now.get(name, ""))
        for name in dict.fromkeys([*was, *now])
        if was.get(name, "") != now.get(name, "")
    )


def _flat(value: Any, name: str = "") -> dict[str, str]:
    """Return everything that was said under its dotted name, as people write it."""
    if is_dataclass(value) and not isinstance(value, type):
        inside = ((field.name, getattr(value, field.name)) for field in fields(value))
    elif isinstance(value, dict):
        inside = ((str(key), one) for key, one in value.items())
    else:
        words = _words(value)
        return {name: words} if words else {}
    found: dict[str, str] = {}
    for key, one in inside:
        if key not in ("permit", "id", "version"):
            found |= _flat(one, f"{name}.{key}" if name else key)
    return found


def _words(value: Any) -> str:
    if value is None or value is False or value == ():
        return ""
    if isinstance(value, Fraction):
        return plain(value)
    if isinstance(value, (datetime, date)):
        return value.isoformat()
    if isinstance(value, tuple):
        return ", ".join(map(str, value))
    return "yes" if value is True else str(value)
