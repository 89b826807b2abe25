"""Small checks from which the shapes of entries are put together.

A check takes a value and the words for where it stands, and returns a sentence for each thing that is wrong:
none is good. So one look at an entry reports all of its problems.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from haulbook.custody.ids import is_id
from haulbook.custody.places import SINKS, SOURCES, is_inside
from haulbook.problems import nearest

Check = Callable[[Any, str], Iterable[str]]
Rule = Callable[[Mapping[str, Any], str], str | None]
"""Says what is off in how the keys of one object go together, or None."""

GOOD: tuple[str, ...] = ()
_HAUL = re.compile(r"[^\s/\x00-\x1f\x7f]{1,64}/[1-9][0-9]{0,8}")
_TAXON = re.compile(r"[a-z0-9][a-z0-9-]*|\?\S(?:.*\S)?")
_SHA256 = re.compile(r"[0-9a-f]{64}")


def _off(value: Any, where: str, wanted: str) -> tuple[str]:
    shown = (
        repr(value)
        if not isinstance(value, (list, dict))
        else ("a list" if isinstance(value, list) else "an object")
    )
    return (f"{where} is {shown}; it takes {wanted}",)


def whole(least: int) -> Check:
    """Check a whole number of at least ``least``."""

    def check(value: Any, where: str) -> Iterable[str]:
        good = type(value) is int and value >= least
        return GOOD if good else _off(value, where, f"a whole number of at least {least}")

    return check


def measure(
    unit: str, least: float | None = None, most: float | None = None, *, above: float | None = None
) -> Check:
    """Check a number in ``unit``: from ``least`` to ``most``, or ``above``.

    Its decimals are looked after by the canonical form.
    """
    wanted = f"a number ({unit})"
    if least is not None:
        wanted = f"a number from {least} {'on' if most is None else f'to {most}'} ({unit})"
    elif above is not None:
        wanted = f"a number above {above} ({unit})"

    def check(value: Any, where: str) -> Iterable[str]:
        good = (
            type(value) in (int, float)
            and (least is None or value >= least)
            and (above is None or value > above)
            and (most is None or value <= most)
        )
        return GOOD if good else _off(value, where, wanted)

    return check


def text(value: Any, where: str) -> Iterable[str]:
    """Check text that says something."""
    return GOOD if isinstance(value, str) and value.strip() else _off(value, where, "words")


def flag(value: Any, where: str) -> Iterable[str]:
    """Check true or false."""
    return GOOD if isinstance(value, bool) else _off(value, where, "true or false")


def thing(value: Any, where: str) -> Iterable[str]:
    """Check an object whose inside belongs to another page, as a plan."""
    return GOOD if isinstance(value, dict) else _off(value, where, "an object")


def matching(pattern: re.Pattern[str], wanted: str) -> Check:
    """Check text that ``pattern`` matches in full."""

    def check(value: Any, where: str) -> Iterable[str]:
        good = isinstance(value, str) and pattern.fullmatch(value)
        return GOOD if good else _off(value, where, wanted)

    return check


haul = matching(_HAUL, "outing/number, as 2027-05-14-a/1")
taxon = matching(_TAXON, "the key of a taxon, or ?the name as written while it is open")
sha256 = matching(_SHA256, "a SHA-256: 64 digits and letters a to f")


def entry_id(value: Any, where: str) -> Iterable[str]:
    """Check the identifier of an entry."""
    return (
        GOOD
        if isinstance(value, str) and is_id(value)
        else _off(value, where, "the id of an entry (a UUID in lower case)")
    )


def inside(value: Any, where: str) -> Iterable[str]:
    """Check an inside place."""
    return (
        GOOD
        if isinstance(value, str) and is_inside(value)
        else _off(value, where, "net, bucket N, cooler N or tank KEY")
    )


def held_place(value: Any, where: str) -> Iterable[str]:
    """Check a place that keeps a balance of its own: an inside place or a sink."""
    if isinstance(value, str) and (is_inside(value) or value in SINKS):
        return GOOD
    return _off(value, where, f"net, bucket N, cooler N, tank KEY, {', '.join(SINKS)}")


def from_place(value: Any, where: str) -> Iterable[str]:
    """Check a place that animals can be taken from."""
    if isinstance(value, str) and (is_inside(value) or value in SOURCES):
        return GOOD
    if isinstance(value, str) and value in SINKS:
        return (f"{where} is {value!r}, which nothing leaves: strike the line that put them there",)
    return _off(value, where, f"{', '.join(SOURCES)}, net, bucket N, cooler N or tank KEY")


def one_of(*words: Any) -> Check:
    """Check one of a few words or numbers, naming the nearest."""
    known = ", ".join(str(word) for word in words)

    def check(value: Any, where: str) -> Iterable[str]:
        if any(value == word and type(value) is type(word) for word in words):
            return GOOD
        near = nearest(value, [str(word) for word in words]) if isinstance(value, str) else []
        return _off(value, where, f"one of {known}" + (f"; the nearest is {near[0]!r}" if near else ""))

    return check


def or_null(check: Check) -> Check:
    """Let null stand where there was none."""
    return lambda value, where: GOOD if value is None else check(value, where)


def some(check: Check, item: str, *, least: int = 1) -> Check:
    """Check a list of ``least`` or more items, each called ``item`` in what is said about it."""

    def check_all(value: Any, where: str) -> Iterable[str]:
        if not isinstance(value, list):
            return _off(value, where, f"a list, each a {item}")
        if len(value) < least:
            return (f"{where} is empty; it takes at least {least} {item}",)
        before = where.rpartition(", ")[0]
        each = f"{before}, {item}" if before else item
        return [said for n, one in enumerate(value, 1) for said in check(one, f"{each} {n}")]

    return check_all


def mapping_of(check: Check, key: Check) -> Check:
    """Check an object with free keys."""

    def check_all(value: Any, where: str) -> Iterable[str]:
        if not isinstance(value, dict):
            return _off(value, where, "an object")
        if not value:
            return (f"{where} is empty; it takes at least one key",)
        return [
            said
            for name, one in value.items()
            for said in (*key(name, f"a key of {where}"), *check(one, f"{where}, {name}"))
        ]

    return check_all


def record(needed: Mapping[str, Check], optional: Mapping[str, Check] | None = None, *rules: Rule) -> Check:
    """Check an object with known keys; an unknown key is refused, naming the nearest.

    ``rules`` are asked only where every key is there and good.
    """
    known = {**needed, **(optional or {})}

    def check(value: Any, where: str) -> Iterable[str]:
        if not isinstance(value, dict):
            return _off(value, where, "an object")
        said: list[str] = []
        for key, one in value.items():
            known_check = known.get(key)
            if known_check is None:
                said.append(_unknown_key(key, where, known))
            else:
                said += known_check(one, f"{where}, {key}" if where else key)
        said += [f"{where or 'the body'} lacks {key}" for key in needed if key not in value]
        if not said:
            said += [fault for rule in rules if (fault := rule(value, where))]
        return said

    return check


def _unknown_key(key: str, where: str, known: Mapping[str, Check]) -> str:
    near = nearest(key, known)
    place = where or "the body"
    hint = f"the nearest known one is {near[0]!r}" if near else f"known are {', '.join(known)}"
    return f"{place} has the key {key!r}, which is not known there; {hint}"
