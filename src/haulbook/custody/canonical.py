"""One way to write a value as text, so that two devices and two languages get the same hash.

The form is RFC 8785 (JSON Canonicalization Scheme), for the values a book admits: whole numbers, measures of
at most four decimals (positions: six), text in NFC, true, false, null, lists, and objects with text keys.
"""

from __future__ import annotations

import hashlib
import json
import unicodedata
from collections.abc import Mapping
from typing import Any

from haulbook.problems import Problem, Refusal

LARGEST_WHOLE = 2**53 - 1
"""Largest whole number that every JSON reader keeps exactly (RFC 8785, appendix D; RFC 7493, 2.2)."""
DECIMALS = 4
POSITIONS = {"lat": 6, "lon": 6}
"""Decimal degrees keep six decimals (0.1 m): four would move a haul by up to 8 m, which an agency's map shows."""
LEAST_POSITION = 1e-4
"""Below it, JSON writers fall back to an exponent, which a book does not hold."""
_ENCODE = json.JSONEncoder(ensure_ascii=False, separators=(",", ":"), check_circular=False).encode
DEEPEST = 32
"""Lists and objects inside each other; deeper ones would only be there to break a reader."""


def admitted(value: Any, where: str = "the value", *, mend: bool = True) -> Any:
    """Return ``value`` as the book admits it: whole floats as integers, keys in canonical order.

    Parameters
    ----------
    value : Any
        What a caller or a JSON reader handed over.
    where : str
        How to call it in a refusal.
    mend : bool
        Bring text to NFC. Off for what was hashed already: there, other text is refused.

    Raises
    ------
    Refusal
        Naming every value that has no one way of being written.
    """
    faults: list[str] = []
    result = _admit(value, where, mend, DEEPEST, faults)
    if faults:
        raise Refusal(Problem("refused", fault) for fault in faults)
    return result


def canonical(value: Any) -> str:
    """Return the RFC 8785 text of ``value``.

    Raises
    ------
    Refusal
        As :func:`admitted`, with ``mend`` off.
    """
    return dump_admitted(admitted(value, mend=False))


def dump_admitted(value: Any) -> str:
    """Return the text of a value that :func:`admitted` gave, without looking at it again."""
    return _ENCODE(value)


def sha256_of(text: str) -> str:
    """Return the lower-case SHA-256 of the UTF-8 bytes of ``text``."""
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def _admit(value: Any, where: str, mend: bool, depth: int, faults: list[str]) -> Any:
    if value is None or isinstance(value, bool):
        return value
    if isinstance(value, str):
        return _text(value, where, mend, faults)
    if isinstance(value, int):
        if abs(value) > LARGEST_WHOLE:
            faults.append(f"{where} is {value}; whole numbers go up to {LARGEST_WHOLE}")
        return value
    if isinstance(value, float):
        return _measure(value, where, faults)
    if not isinstance(value, (Mapping, list, tuple)):
        faults.append(
            f"{where} is a {type(value).__name__}; "
            "a book holds text, numbers, true, false, null, lists and objects"
        )
        return None
    if depth == 0:
        faults.append(f"{where} lies more than {DEEPEST} lists or objects deep")
        return None
    if isinstance(value, Mapping):
        return _object(value, where, mend, depth, faults)
    return [_admit(item, f"{where} {n}", mend, depth - 1, faults) for n, item in enumerate(value, 1)]


def _object(
    value: Mapping[Any, Any], where: str, mend: bool, depth: int, faults: list[str]
) -> dict[str, Any]:
    found: dict[str, Any] = {}
    plain = True
    for key, item in value.items():
        if not isinstance(key, str):
            faults.append(f"{where} has the key {key!r}; a key is text")
            continue
        name = key
        if not key.isascii():
            plain = False
            name = _text(key, f"a key of {where}", mend, faults)
            if name in found:
                faults.append(f"{where} has the key {name!r} twice")
        if type(item) is str and item.isascii():  # nearly all values: spares the words for where they stand
            found[name] = item
        else:
            inner = f"{where}, {key}" if where else key
            if type(item) is float and key in POSITIONS and abs(item) >= LEAST_POSITION:
                found[name] = _measure(item, inner, faults, POSITIONS[key])
            else:
                found[name] = _admit(item, inner, mend, depth - 1, faults)
    order = sorted(found) if plain else sorted(found, key=_utf16)
    return {key: found[key] for key in order}


def _utf16(key: str) -> bytes:
    return key.encode("utf-16-be", "surrogatepass")


def _text(value: str, where: str, mend: bool, faults: list[str]) -> str:
    if value.isascii():
        return str(value)
    try:
        value.encode("utf-8")
    except UnicodeEncodeError:
        faults.append(f"{where} holds half a character (a lone surrogate); write it again")
        return ""
    if mend:
        return unicodedata.normalize("NFC", value)
    if not unicodedata.is_normalized("NFC", value):
        faults.append(f"{where} is {value!r}, whose accents are written apart; text in a book is NFC")
    return value


def _measure(value: float, where: str, faults: list[str], decimals: int = DECIMALS) -> int | float:
    if value != value or value in (float("inf"), float("-inf")):
        faults.append(f"{where} is {value}; a measure is a number, and what nobody measured is left out")
        return 0
    if abs(value) > LARGEST_WHOLE:
        faults.append(f"{where} is {value}; numbers go up to {LARGEST_WHOLE}")
        return 0
    if value.is_integer():
        return int(value)
    if round(value, decimals) != value:
        faults.append(
            f"{where} is {value!r}; a measure has at most {decimals} decimals: "
            f"round it to {round(value, decimals)}"
        )
    return value
