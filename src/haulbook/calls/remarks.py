"""Words that enter nothing: remarks beside a call, and talk about net, water and clock."""

from __future__ import annotations

from dataclasses import replace

from haulbook.calls.lexicon import Lexicon
from haulbook.calls.pieces import Piece
from haulbook.calls.spelling import ORDINARY, near
from haulbook.calls.state import PASSED_OVER
from haulbook.calls.tokens import Run

_QUIET = frozenset((*PASSED_OVER, "and", "chatter", "gets", "at", "all", "ones"))
_CALLED = frozenset({"name", "stranger", "zero", "stage", "fate"})
_OPENERS = frozenset(
    {"on", "off", "in", "under", "from", "with", "inside", "among", "beside", "covered", "near", "behind", "by"}
)  # fmt: skip
"""Words that say where an animal was."""
_OPENED = ("name", "filler", "adjective", "length", "fate")
_PLURAL_ENDINGS = frozenset({"s", "z", "g"})
"""Letters that a recogniser makes of the end of a plural."""
_CLOSE = 1.3
"""A remark of one or two words must be no slip, up to this cost, of anything that counts."""
_COUNTING = frozenset({"fate", "stage", "place", "number", "name", "zero"})


def is_chatter(pieces: list[Piece], lexicon: Lexicon) -> bool:
    """Say whether a call is talk about net, water, buckets or clock, or a search that is not over ("none yet")."""
    kinds = {piece.kind for piece in pieces if piece.said not in ("a", "an")}
    if "yet" in kinds:
        return "count" not in kinds
    talk = {piece.value for piece in pieces if piece.kind == "chatter" and piece.exact}
    if pieces[0].kind == "chatter" and pieces[0].value == "question":
        return not kinds & {"count", "zero"}
    if not talk & {"gear", "measure"} or kinds & _CALLED:
        return False
    if "measure" in talk:
        return True
    return "count" not in kinds and all(
        piece.kind != "loose" or piece.said in lexicon.ordinary for piece in pieces
    )


def without_remarks(pieces: list[Piece], said: tuple[Run, ...], lexicon: Lexicon) -> list[Piece]:
    """Return the pieces of a call with the words of its remarks made silent."""
    by_run: dict[int, list[Piece]] = {}
    for piece in pieces:
        by_run.setdefault(piece.run, []).append(piece)
    calls = any(piece.kind == "name" for piece in pieces)
    kept: list[Piece] = []
    for run, own in by_run.items():
        if calls and len(by_run) > 1 and _is_remark(own, said[run], lexicon):
            kept += [_silenced(piece) for piece in own]
        else:
            kept += _without_tail(own, lexicon)
    return kept


def _silenced(piece: Piece) -> Piece:
    """Return a piece that enters nothing; "oops" and "uh" still stand between what is said twice."""
    return piece if piece.kind == "oops" else replace(piece, kind="filler", sure=True, exact=True)


def _is_remark(own: list[Piece], run: Run, lexicon: Lexicon) -> bool:
    """Say whether a run between pauses is plain English that counts nothing."""
    talk = any(piece.kind == "chatter" and piece.exact for piece in own)  # "bucket two is full"
    quiet = (*_QUIET, "place") if talk else _QUIET
    if not all(
        piece.kind in quiet or (piece.kind == "loose" and piece.said in lexicon.ordinary) for piece in own
    ):
        return False
    loose = sum(piece.kind == "loose" for piece in own)
    if loose == len(run.words) == 1:
        return False
    return loose == 0 or len(run.words) > 2 or not any(_close(word, lexicon) for word in run.words)


def _close(word: str, lexicon: Lexicon) -> bool:
    """Say whether a word may be a slip of one that counts."""
    return any(
        cost - ORDINARY <= _CLOSE
        and any(meaning.kind in _COUNTING for meaning in lexicon.phrases.get(form.word, ()))
        for form, cost in near(word, lexicon)
    )


def _without_tail(own: list[Piece], lexicon: Lexicon) -> list[Piece]:
    """Silence where something was ("covered in weed", "on the wrack") and the rest of a plural ("sculpin g")."""
    kept: list[Piece] = []
    silent = False
    for piece in own:
        loose = piece.kind == "loose" and piece.said in lexicon.ordinary
        before = kept[-1].kind if kept else ""
        opens = (loose or piece.kind == "bound") and piece.said in _OPENERS and before in _OPENED
        silent = opens or (silent and (loose or piece.kind in _QUIET))
        ending = piece.kind == "loose" and piece.said in _PLURAL_ENDINGS and before == "name"
        kept.append(_silenced(piece) if silent or ending else piece)
    return kept
