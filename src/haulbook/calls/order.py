"""Words put into the order in which a call is read: "keep two" is read as "two kept", "keep them all" as "all kept"."""

from __future__ import annotations

from haulbook.calls.pieces import Piece
from haulbook.calls.state import PASSED_OVER, SHARED

_BETWEEN = (*PASSED_OVER, "and")


def in_order(pieces: list[Piece]) -> list[Piece]:
    """Return the pieces of a call in that order."""
    by_run: dict[int, list[Piece]] = {}
    for piece in pieces:
        by_run.setdefault(piece.run, []).append(piece)
    named = False
    found: list[Piece] = []
    for own in by_run.values():
        found += _number_first(own) if named else _all_first(own)
        named = named or any(piece.kind in ("name", "stranger") for piece in own)
    return found


def _number_first(own: list[Piece]) -> list[Piece]:
    """Turn the pairs of "keep two and release three", "b2 4" round, where a run behind a name holds nothing else."""
    said = [piece for piece in own if piece.kind not in _BETWEEN]
    pairs = list(zip(said[::2], said[1::2], strict=False))
    turned = [one.kind in SHARED and other.kind == "count" for one, other in pairs]
    if not pairs or len(said) % 2 or not all(turned):
        return _all_first(own)
    found: list[Piece] = []
    held: list[Piece] = []
    for piece in own:
        if piece.kind in SHARED or piece.kind == "and":
            found, held = found + held, []
        (held if piece.kind in SHARED else found).append(piece)
    return found + held


def _all_first(own: list[Piece]) -> list[Piece]:
    """Put an "all" or "the rest" that ends a run before the fate or place it stands behind."""
    said = [piece for piece in own if piece.kind not in _BETWEEN]
    if len(said) > 1 and said[-1].kind in ("all", "rest") and said[-2].kind in SHARED:
        at = next(i for i, piece in enumerate(own) if piece is said[-2])
        rest = [piece for piece in own[at:] if piece is not said[-1]]
        return [*own[:at], said[-1], *rest]
    return own
