"""The few words that a layout may use to make a cell out of report columns.

``sum``, ``count``, ``min``, ``max``, ``first``, ``join``, a column, a map lookup, text in quotes, a number,
and ``+``. Nothing else is understood, so a layout file can't do anything but arrange.

    sum(n_retained_dead + n_died_retained)
    map(disposition, disposition_code)
    join(verbatim_name, ", ")
"""

from __future__ import annotations

import ast
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from haulbook.permit.fields import FIELDS, Row, Value
from haulbook.permit.fold import joined, total, value_of
from haulbook.problems import Refusal, unknown

Codes = Mapping[str, Mapping[str, Value]]
"""Code maps of a layout: name -> our word -> the agency's."""

LONGEST = 300
_ARGUMENTS = {
    "sum": (1, 1),
    "count": (1, 1),
    "min": (1, 1),
    "max": (1, 1),
    "first": (1, 1),
    "join": (1, 2),
    "map": (2, 3),
}


@dataclass(frozen=True, slots=True)
class Column:
    """A column of the report model."""

    name: str


@dataclass(frozen=True, slots=True)
class Constant:
    """Text or a number as written."""

    value: str | int


@dataclass(frozen=True, slots=True)
class Plus:
    """Numbers added, or texts put together."""

    left: Expression
    right: Expression


@dataclass(frozen=True, slots=True)
class Over:
    """One of sum, count, min, max, first, join over the rows that a cell stands for."""

    word: str
    of: Expression
    between: str = "; "


@dataclass(frozen=True, slots=True)
class Lookup:
    """A word looked up in a code map; ``otherwise`` where the map does not know it."""

    codes: str
    of: Expression
    otherwise: Expression | None = None


Expression = Column | Constant | Plus | Over | Lookup


def parse(text: str, codes: Codes) -> Expression:
    """Read an expression.

    Raises
    ------
    Refusal
        Anything but the few words above; a column or code map that does not exist, naming the nearest.
    """
    if len(text) > LONGEST:
        raise Refusal(f"is longer than {LONGEST} letters")
    try:
        tree = ast.parse(text.strip(), mode="eval").body
    except (SyntaxError, ValueError, RecursionError, MemoryError):
        raise Refusal(f"{text!r} can't be read; write as sum(n_captured) or taxon_sci") from None
    return _read(tree, codes, inside=False)


def _read(node: ast.expr, codes: Codes, *, inside: bool) -> Expression:
    match node:
        case ast.Name(id=name):
            if name not in FIELDS:
                raise Refusal(unknown("column", name, FIELDS))
            return Column(name)
        case ast.Constant(value=str() | int() as value) if not isinstance(value, bool):
            return Constant(value)
        case ast.BinOp(left=left, op=ast.Add(), right=right):
            return Plus(_read(left, codes, inside=inside), _read(right, codes, inside=inside))
        case ast.Call(func=ast.Name(id=word), args=args, keywords=[]):
            return _call(word, args, codes, inside=inside)
    raise Refusal(
        f"{ast.unparse(node)!r} is not among what a layout may say: {', '.join(_ARGUMENTS)}, a column, +"
    )


def _call(word: str, args: list[ast.expr], codes: Codes, *, inside: bool) -> Expression:
    if word not in _ARGUMENTS:
        raise Refusal(unknown("function", word, _ARGUMENTS))
    least, most = _ARGUMENTS[word]
    if not least <= len(args) <= most:
        raise Refusal(
            f"{word}() takes {least}{f' to {most}' if most > least else ''} values, here are {len(args)}"
        )
    if word == "map":
        name = args[0].id if isinstance(args[0], ast.Name) else ""
        if name not in codes:
            raise Refusal(unknown("code map", name or ast.unparse(args[0]), codes))
        otherwise = _read(args[2], codes, inside=inside) if len(args) == 3 else None
        return Lookup(name, _read(args[1], codes, inside=inside), otherwise)
    if inside:
        raise Refusal(f"{word}() stands inside another of sum, count, min, max, first, join")
    of = _read(args[0], codes, inside=True)
    if word == "sum" and not counts_only(of):
        raise Refusal(f"sum() adds counts (columns n_...), not {ast.unparse(args[0])!r}")
    between = _read(args[1], codes, inside=True) if len(args) == 2 else Constant("; ")
    if not isinstance(between, Constant):
        raise Refusal('join() takes the text between in quotes, as join(taxon_sci, ", ")')
    return Over(word, of, str(between.value))


def counts_only(expression: Expression) -> bool:
    """Whether a cell is made of counts alone, so that a subtotal of it means something."""
    match expression:
        case Column(name):
            return FIELDS[name].fold == "sum"
        case Plus(left, right):
            return counts_only(left) and counts_only(right)
        case Over(word, of):
            return word == "sum" and counts_only(of)
    return False


def value(expression: Expression, rows: Sequence[Row], codes: Codes) -> Value:
    """Return what an expression says of the rows that one cell stands for.

    Raises
    ------
    Refusal
        A word that a code map does not know, without another value to fall back on.
    """
    match expression:
        case Column(name):
            return value_of(rows, name)
        case Constant(value=constant):
            return constant
        case Plus(left, right):
            return _plus(value(left, rows, codes), value(right, rows, codes))
        case Lookup(name, of, otherwise):
            return _look_up(codes, name, value(of, rows, codes), otherwise, rows)
        case Over(word, of, between):
            return _over(word, [value(of, [row], codes) for row in rows], between)


def _plus(left: Value, right: Value) -> Value:
    if isinstance(left, int | float | None) and isinstance(right, int | float | None):
        return None if left is None and right is None else (left or 0) + (right or 0)
    return f"{'' if left is None else left}{'' if right is None else right}"


def _look_up(
    codes: Codes, name: str, word: Value, otherwise: Expression | None, rows: Sequence[Row]
) -> Value:
    key = "" if word is None else str(word)
    if key in codes[name]:
        return codes[name][key]
    if otherwise is not None:
        return value(otherwise, rows, codes)
    raise Refusal(f"codes.{name} has no code for {key!r}; add it to the layout")


def _over(word: str, values: list[Value], between: str) -> Value:
    known = [each for each in values if each not in (None, "")]
    match word:
        case "sum":
            return total(values)
        case "count":
            return len(set(known))
        case "first":
            return known[0] if known else None
        case "join":
            return joined(known, between)
    if not known:
        return None
    return (min if word == "min" else max)(known, key=lambda each: (str(type(each)), each))
