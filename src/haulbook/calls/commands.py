"""Calls that change the line before: "scratch that", "make that five", "no, they went back"."""

from __future__ import annotations

from haulbook.calls.answer import Command
from haulbook.calls.pieces import Piece
from haulbook.calls.state import PASSED_OVER, SHARED

_SILENT = frozenset((*PASSED_OVER, "all", "and", "gets"))
_PRONOUNS = frozenset(("it", "them", "em", "him", "her", "that", "those", "these", "he", "she", "they"))
_BEFORE_UNDO = ("oops", "filler", "correct", "the", "chatter")
_CHANGES = {
    "count": "amend_count",
    "name": "amend_taxon",
    "fate": "amend_fate",
    "stage": "amend_stage",
    "place": "amend_place",
}


def without_undo(pieces: list[Piece]) -> tuple[list[Piece], list[Command]]:
    """Take an undo off the beginning of a call."""
    at = 0
    while at < len(pieces) and (pieces[at].kind in _BEFORE_UNDO or pieces[at].said == "no"):
        at += 1
    if at == len(pieces) or pieces[at].kind != "undo" or not pieces[at].sure:
        return pieces, []
    run, at = pieces[at].run, at + 1
    while at < len(pieces) and pieces[at].run == run and "last" in pieces[at].said.split():
        at += 1  # "scratch that, that last one"
    return pieces[at:], ["undo"]


def amendments(pieces: list[Piece]) -> list[Command] | None:
    """Return what a call changes in the line before; None where it is no such call, or not surely one."""
    said = [piece for piece in pieces if piece.kind not in _SILENT]
    if not said or not all(_known(piece) for piece in said):
        return None
    opens, refers = _opening(said)
    if not opens and not _replaces(said) and not _points_back(pieces):
        return None
    changes: dict[str, Piece] = {}
    for piece in _asserted(said):
        if piece.kind in ("correct", "refer", "total") or (piece is said[0] and piece.kind == "zero"):
            continue
        command = _CHANGES.get(piece.kind)
        if command is None or command in changes or not piece.value or str(piece.value).startswith("?"):
            return None
        changes[command] = piece
    if "amend_count" in changes and len(changes) > 1:
        one = changes["amend_count"].value == 1 and not changes["amend_count"].said.isdigit()
        if one:
            del changes["amend_count"]
        elif not refers:
            return None
    return [{command: piece.value} for command, piece in changes.items()] or None


def _known(piece: Piece) -> bool:
    """Say whether a piece is sure; a lone word that corrects or points back must be said as listed."""
    if piece.kind in ("correct", "refer", "not") and not piece.exact and " " not in piece.said:
        return False
    return piece.sure


def _opening(said: list[Piece]) -> tuple[bool, bool]:
    """Say whether a call opens as one that corrects, and whether it points at the line before."""
    first, after = said[0], said[1] if len(said) > 1 else None
    behind = after is not None and after.kind == "refer"
    no = first.kind == "zero" and first.value == "no" and after is not None and after.run != first.run
    refers = first.kind == "refer" or (behind and first.kind in ("correct", "zero"))
    return first.kind == "correct" or refers or no, refers


def _points_back(pieces: list[Piece]) -> bool:
    """Recognise "keep it", "all of those went back", "those go in bucket two": of what was called before."""
    said = [piece for piece in pieces if piece.kind not in _SILENT]
    words = {word for piece in pieces for word in piece.said.split()}
    pronouns = _PRONOUNS - {"that"} if said[0].kind == "place" else _PRONOUNS
    return len(said) == 1 and said[0].kind in SHARED and bool(pronouns & words)


def _replaces(said: list[Piece]) -> bool:
    """Recognise "bucket two, not bucket one" and "not a crescent, a penpoint"."""
    kinds = [piece.kind for piece in said]
    if "not" not in kinds:
        return False
    rest = {kind for kind in kinds if kind != "not"}
    others = rest - {"count"} or rest  # "not a crescent, a penpoint" has articles
    return kinds.index("not") < 2 and kinds.count("not") == len(others) == 1 and rest <= {"count", *_CHANGES}


def _asserted(said: list[Piece]) -> list[Piece]:
    """Leave out what stands behind "not": to the end of its run, or of the call where it stands last."""
    kept, skipping = [], -1
    for piece in said:
        if piece.kind == "not":
            skipping = piece.run
        elif piece.run != skipping:
            kept.append(piece)
    return kept
