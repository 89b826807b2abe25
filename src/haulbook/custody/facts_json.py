"""Accounts and readings as compact text and back, exactly: so that a store need not read the book again.

Every text (a key, a name, a time, an entry's id) is written once and numbered; a fact is the list of its values
in the order of its fields. It is a store's own format: a text of another version is refused, and made anew.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import fields, is_dataclass
from functools import cache
from types import NoneType, UnionType
from typing import Any, Literal, Protocol, TypeVar, Union, get_args, get_origin, get_type_hints

from haulbook.custody.canonical import sha256_of
from haulbook.custody.facts import Account
from haulbook.custody.fates import Fate
from haulbook.custody.reading_outing import OutingReading
from haulbook.custody.reading_tanks import TankReading
from haulbook.custody.when import When
from haulbook.problems import Refusal

T = TypeVar("T")
Turn = Callable[[Any], Any]
"""Turns a value into what is written, or back."""

_MEANING = 1
"""Raised when the same entries come to be read as other facts. Other fields of the facts show by themselves."""


def account_as_json(account: Account) -> str:
    """Return an account as text."""
    return _write(account)


def account_from_json(text: str) -> Account:
    """Return the account that a text holds; refuses one of another version."""
    return _read(text, Account)


def outing_as_json(reading: OutingReading) -> str:
    """Return the reading of an outing as text."""
    return _write(reading)


def outing_from_json(text: str) -> OutingReading:
    """Return the reading of an outing that a text holds; refuses one of another version."""
    return _read(text, OutingReading)


def tanks_as_json(reading: TankReading) -> str:
    """Return the reading of the tanks as text."""
    return _write(reading)


def tanks_from_json(text: str) -> TankReading:
    """Return the reading of the tanks that a text holds; refuses one of another version."""
    return _read(text, TankReading)


def _write(value: Any) -> str:
    hand = _Writing()
    body = _turn(type(value), hand)(value)
    whole = {"version": VERSION, "of": type(value).__name__, "texts": list(hand.texts), "body": body}
    return json.dumps(whole, ensure_ascii=False, separators=(",", ":"))


def _read(text: str, kind: type[T]) -> T:
    try:
        found = json.loads(text)
        head = (found["of"], found["version"])
        if head == (kind.__name__, VERSION):
            read: T = _turn(kind, _Reading(found["texts"]))(found["body"])
            return read
    except (ValueError, TypeError, KeyError, IndexError):
        raise Refusal("this is no whole stored reading: make it anew from the entries") from None
    raise Refusal(
        f"this is {head[0]} of version {head[1]}, not {kind.__name__} of version {VERSION}: "
        "make it anew from the entries"
    )


class _Hand(Protocol):
    """What writing and reading do differently."""

    def text(self, kind: type) -> Turn: ...
    def record(self, kind: type, turns: Mapping[str, Turn]) -> Turn: ...
    def each(self, turn: Turn) -> Turn: ...
    def fixed(self, turns: tuple[Turn, ...]) -> Turn: ...
    def pairs(self, key: Turn, value: Turn) -> Turn: ...


class _Writing:
    """Facts to lists; ``texts`` numbers what was met."""

    def __init__(self) -> None:
        self.texts: dict[str, int] = {}

    def text(self, kind: type) -> Turn:
        if kind is When:
            return lambda when: self.texts.setdefault(when.text, len(self.texts))
        return lambda text: self.texts.setdefault(text, len(self.texts))

    def record(self, kind: type, turns: Mapping[str, Turn]) -> Turn:
        named = tuple(turns.items())
        return lambda fact: [turn(getattr(fact, name)) for name, turn in named]

    def each(self, turn: Turn) -> Turn:
        return lambda values: [turn(value) for value in values]

    def fixed(self, turns: tuple[Turn, ...]) -> Turn:
        return lambda values: [turn(value) for turn, value in zip(turns, values, strict=True)]

    def pairs(self, key: Turn, value: Turn) -> Turn:
        return lambda table: [[key(name), value(one)] for name, one in table.items()]


class _Reading:
    """Lists to facts; every text, time and fate is made once."""

    def __init__(self, texts: list[str]) -> None:
        self.texts = texts

    def text(self, kind: type) -> Turn:
        if kind is str:
            return self.texts.__getitem__
        return cache(lambda number: kind(self.texts[number]))

    def record(self, kind: type, turns: Mapping[str, Turn]) -> Turn:
        order = tuple(turns.values())
        return lambda row: kind(*[turn(value) for turn, value in zip(order, row, strict=True)])

    def each(self, turn: Turn) -> Turn:
        return lambda values: tuple([turn(value) for value in values])

    def fixed(self, turns: tuple[Turn, ...]) -> Turn:
        return lambda values: tuple([turn(value) for turn, value in zip(turns, values, strict=True)])

    def pairs(self, key: Turn, value: Turn) -> Turn:
        return lambda rows: {key(name): value(one) for name, one in rows}


def _turn(kind: Any, hand: _Hand) -> Turn:
    """Return how a hand turns values of a type."""
    origin, inside = get_origin(kind), get_args(kind)
    if kind in (str, When, Fate):
        return hand.text(kind)
    if origin is Literal:
        return hand.text(str)
    if kind in (int, float, bool):
        return _as_it_is
    if origin in (Union, UnionType):
        (some,) = (one for one in inside if one is not NoneType)
        return _unless_none(_turn(some, hand))
    if origin is tuple and inside[-1] is ...:
        return hand.each(_turn(inside[0], hand))
    if origin is tuple:
        return hand.fixed(tuple(_turn(one, hand) for one in inside))
    if origin is Mapping:
        return hand.pairs(*(_turn(one, hand) for one in inside))
    return hand.record(kind, {name: _turn(hint, hand) for name, hint in _hints(kind).items()})


def _as_it_is(value: Any) -> Any:
    return value


def _unless_none(turn: Turn) -> Turn:
    if turn is _as_it_is:
        return turn
    return lambda value: None if value is None else turn(value)


@cache
def _hints(kind: type) -> dict[str, Any]:
    """Return the fields of a kind of fact with their types; refuses what is none, as a new kind of field."""
    if not is_dataclass(kind):
        raise TypeError(f"{kind} has no place in a stored reading")
    hints = get_type_hints(kind)
    return {field.name: hints[field.name] for field in fields(kind)}


def _shape(kinds: Iterable[Any], seen: set[Any]) -> Iterator[str]:
    """Yield the fields of facts and of the facts in them."""
    for kind in kinds:
        if isinstance(kind, type) and is_dataclass(kind) and kind is not When and kind not in seen:
            seen.add(kind)
            yield f"{kind.__name__}: {', '.join(f'{field.name} {field.type}' for field in fields(kind))}"
            yield from _shape(_hints(kind).values(), seen)
        else:
            yield from _shape(get_args(kind), seen)


VERSION = f"{_MEANING}-{sha256_of(chr(10).join(_shape((OutingReading, TankReading), set())))[:8]}"
"""Of the texts that are written and read here: other facts, another version."""
