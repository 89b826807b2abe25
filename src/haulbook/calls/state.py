"""What is known while a call is read from left to right, and what stands around the piece that is read now."""

from __future__ import annotations

from haulbook.calls.answer import Ask
from haulbook.calls.drafts import Draft
from haulbook.calls.pieces import Piece
from haulbook.taxa import Pack

SAID_OF = {"fate": "fate", "place": "place", "stage": "stage", "length": "length_mm"}
"""Kinds of pieces that are said of animals, and the field of a draft they go to."""
SHARED = frozenset({"fate", "place"})
"""What may be said of a whole list at once."""
PASSED_OVER = ("filler", "adjective", "the", "of", "here", "oops", "more")
"""What says nothing of its own."""
BEFORE_A_NAME = (*PASSED_OVER, "stage", "doubt", "hedge", "kinds", "fate")
"""What may stand between a number and its name."""


class State:
    """One call while it is read.

    Attributes
    ----------
    pieces : list of Piece
    stops : tuple of str
        The mark of punctuation behind each run.
    drafts : list of Draft
        The lots called so far.
    asks : list of (int, Ask)
        What has to be asked, with the run it stands in.
    pending : Draft
        What was said before the name it belongs to.
    header : dict
        A fate or a place that covers what follows.
    undone : bool
        Something is taken back in the middle of the call, and it is not clear what.
    whole : Draft or None
        The lot out of which parts were taken that have no name of their own.
    group : Draft or None
        The lot out of which parts were taken by name: "four sticklebacks: three fourspine".
    """

    def __init__(self, pieces: list[Piece], stops: tuple[str, ...], pack: Pack) -> None:
        self.pieces, self.stops, self.pack = pieces, stops, pack
        self.drafts: list[Draft] = []
        self.asks: list[tuple[int, Ask]] = []
        self.pending = Draft()
        self.header: dict[str, str] = {}
        self.header_waits = self.everyone = self.everyone_waits = self.rest_waits = False
        self.correcting = self.hesitated = self.either = self.undone = False
        self.whole: Draft | None = None
        self.group: Draft | None = None
        self.at = 0
        self.one_run = len({piece.run for piece in pieces}) <= 1

    @property
    def last(self) -> Draft | None:
        """The lot that was spoken of last."""
        return self.drafts[-1] if self.drafts else None

    def ask(self, piece: Piece, about: str) -> None:
        """Put a piece back to the caller."""
        self.asks.append((piece.run, Ask(piece.said, about)))

    def right_before(self) -> Piece | None:
        """Return the piece just before this one in its run."""
        piece = self.pieces[self.at - 1] if self.at else None
        return piece if piece is not None and piece.run == self.pieces[self.at].run else None

    def right_behind(self) -> Piece | None:
        """Return the piece just behind this one in its run."""
        piece = self.pieces[self.at + 1] if self.at + 1 < len(self.pieces) else None
        return piece if piece is not None and piece.run == self.pieces[self.at].run else None

    def before(self) -> Piece | None:
        """Return the last piece before that says something, in the same run."""
        for piece in reversed(self.pieces[: self.at]):
            if piece.run != self.pieces[self.at].run:
                return None
            if piece.kind not in (*PASSED_OVER, "and"):
                return piece
        return None

    def ahead(self, *, anywhere: bool = False) -> Piece | None:
        """Return the next piece that says something, in the same run unless ``anywhere``."""
        for piece in self.pieces[self.at + 1 :]:
            if piece.run != self.pieces[self.at].run and not anywhere:
                return None
            if piece.kind not in PASSED_OVER:
                return piece
        return None

    def name_ahead(self) -> Piece | None:
        """Return the name, or what may be one, that this piece stands before."""
        for piece in self.pieces[self.at + 1 :]:
            if piece.run != self.pieces[self.at].run:
                return None
            if piece.kind in ("name", "stranger", "loose"):
                return piece
            if piece.kind not in BEFORE_A_NAME:
                return None
        return None

    def opens_run(self, piece: Piece) -> bool:
        """Say whether its run holds nothing before a piece but what is said of animals."""
        return all(
            one.kind in (*SAID_OF, *PASSED_OVER, "all", "and", "rest")
            for one in self.pieces[: self.at]
            if one.run == piece.run
        )
