"""Numbers in a call: which lot has which, true zeros, corrections in the same breath."""

from __future__ import annotations

from dataclasses import replace

from haulbook.calls.drafts import Draft
from haulbook.calls.parts import Parts
from haulbook.calls.pieces import Piece
from haulbook.calls.state import SAID_OF


class Counting(Parts):
    """How numbers are taken: before a name, or after it where nothing stands before."""

    def count(self, piece: Piece) -> None:
        """Take a number."""
        last, value = self.last, piece.value
        if not isinstance(value, int):
            self.ask(piece, "count")
        elif value == 0:
            self.zero(replace(piece, value="no" if self.name_ahead() else "none"))
        elif self.name_ahead():
            if self.pending.counted and not self.correcting:
                self.ask(piece, "count")
            self._wait_for_name(piece, value)
        elif last is not None and last.taxon and (self.correcting or not last.counted):
            last.count, self.correcting = value, False
            last.runs.add(piece.run)
            self._doubt(last)
        elif last is not None and not self.pending.counted:
            self.part(piece, value)
            self._doubt(self.drafts[-1])
        else:
            if self.pending.counted and not self.correcting:
                self.ask(piece, "count")
            self._wait_for_name(piece, value)

    def vague(self, piece: Piece) -> None:
        """Take "a few", "hundreds", or a number that was only bounded: nobody said how many."""
        last, named = self.last, self.name_ahead()
        if last is not None and last.vague and not named:
            return
        target = last if last is not None and not last.counted and not named else self.pending
        if target.counted and not target.vague:
            self.ask(piece, "count")
        target.vague = True
        target.runs.add(piece.run)
        if piece.value == "count":
            target.doubts.append("count")
        if target is last:
            self._doubt(target)

    def _doubt(self, lot: Draft) -> None:
        """Give a lot the doubts that stood before its number: "silversides, about forty"."""
        lot.doubts += self.pending.doubts
        self.pending.doubts = []

    def hedge(self, _piece: Piece) -> None:
        """Take "about" or "or so"."""
        ahead = self.ahead()
        if self.pending.count is not None or (ahead is not None and ahead.kind in ("count", "vague")):
            self.pending.doubts.append("count")
        elif self.last is not None and self.last.count is not None:
            self.last.doubts.append("count")

    def estimate(self, piece: Piece) -> None:
        """Take "call it two hundred"."""
        ahead = self.ahead()
        if piece.value == "call it" and ahead is not None and ahead.kind == "count":
            self.hedge(piece)

    def zero(self, piece: Piece) -> None:
        """Take "no gunnels" and "gunnels, none" as a true zero, "three, no, four" as a correction."""
        last, before, named = self.last, self.right_before(), self.name_ahead()
        nil = piece.said == "nil" and (last is None or (last.counted and before is None))
        if named and (piece.value == "no" or nil):
            after = self.right_behind()
            more = after is not None and after.kind == "more"  # "no more cunner" were some before
            before_it = before is not None and before.kind in ("name", "count")
            if more or (before_it and not (last is not None and last.zero)):
                self.ask(piece, "zero")
            self.pending.zero = True
            self.pending.runs.add(piece.run)
        elif piece.value == "none" and last is not None and not last.counted:
            last.zero = True
            last.runs.add(piece.run)
        elif self._corrects(piece):
            self.correcting = True
        else:
            self.ask(piece, "zero")

    def _corrects(self, piece: Piece) -> bool:
        """Hear "three, no, four"; "five grubbies, no keepers" keeps none."""
        after = self.right_behind()
        denies = after is not None and after.kind in SAID_OF
        said = bool(self.drafts) or self.pending.counted
        return piece.value == "no" and said and not denies and self.ahead(anywhere=True) is not None

    def total(self, _piece: Piece) -> None:
        """Hold "that's three" against what was called; names without a number are one animal each then."""
        ahead = self.ahead()
        if ahead is None or ahead.kind != "count" or (not self.drafts and ahead.said.startswith("another")):
            return
        self.pieces[self.pieces.index(ahead, self.at)] = replace(ahead, kind="filler")
        for draft in self.drafts:
            if not draft.counted and not draft.plural:
                draft.count = 1
        if sum(draft.count or 0 for draft in self.drafts) != ahead.value:
            self.ask(ahead, "count")

    def correct(self, piece: Piece) -> None:
        """Take "no wait", "sorry", "I mean": what follows goes before what was said."""
        if not self.drafts and not self.pending.counted:
            self.ask(piece, "words")
        self.correcting = True

    def _wait_for_name(self, piece: Piece, value: int) -> None:
        self.pending.count, self.pending.vague, self.pending.said = value, False, piece.said
        self.pending.runs.add(piece.run)
