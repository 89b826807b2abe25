"""Calls that change the line before: "scratch that", "make that five", "no, they went back"."""

from __future__ import annotations

from haulbook.calls.answer import Command
from haulbook.calls.pieces import Piece
from haulbook.calls.state import PASSED_OVER

_SILENT = frozenset((*PASSED_OVER, "all", "and", "gets"))
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
    while at < len(pieces) and pieces[at].kind in ("oops", "filler", "correct", "the"):
        at += 1
    if at < len(pieces) and pieces[at].kind == "undo" and pieces[at].sure:
        return pieces[at + 1 :], ["undo"]
    return pieces, []


def amendments(pieces: list[Piece]) -> list[Command] | None:
    """Return what a call changes in the line before; None where it is no such call, or not surely one."""
    said = [piece for piece in pieces if piece.kind not in _SILENT]
    if not said or not all(_known(piece) for piece in said):
        return None
    opens, refers = _opening(said)
    if not opens and not _replaces(said):
        return None
    changes: dict[str, Piece] = {}
    for piece in _asserted(said):
        if piece.kind in ("correct", "refer") or (piece is said[0] and piece.kind == "zero"):
            continue
        command = _CHANGES.get(piece.kind)
        if command is None or command in changes or piece.value is None or str(piece.value).startswith("?"):
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
    refers = any(piece.kind == "refer" for piece in said[:2])
    no = said[0].kind == "zero" and said[0].value == "no" and len(said) > 1 and said[1].run != said[0].run
    plain_no = said[0].kind == "zero" and len(said) > 1 and said[1].kind == "refer"
    return said[0].kind == "correct" or refers or no or plain_no, refers


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
