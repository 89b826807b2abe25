"""Numbers in a call: which lot has which, parts of a lot, true zeros, corrections in the same breath."""

from __future__ import annotations

from dataclasses import replace

from haulbook.calls.drafts import Draft
from haulbook.calls.pieces import Piece
from haulbook.calls.state import State


class Counting(State):
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
        elif last is not None and not self.pending.counted:
            self._part(piece, value, last)
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
        if target.counted:
            self.ask(piece, "count")
        target.vague = True
        target.runs.add(piece.run)
        if piece.value == "count":
            target.doubts.append("count")

    def hedge(self, _piece: Piece) -> None:
        """Take "about" or "or so"."""
        ahead = self.ahead()
        if self.pending.count is not None or (ahead is not None and ahead.kind in ("count", "vague")):
            self.pending.doubts.append("count")
        elif self.last is not None and self.last.count is not None:
            self.last.doubts.append("count")

    def zero(self, piece: Piece) -> None:
        """Take "no gunnels" and "gunnels, none" as a true zero, "three, no, four" as a correction."""
        last, before, named = self.last, self.right_before(), self.name_ahead()
        if named and (piece.value == "no" or (piece.said == "nil" and last is None)):
            if before is not None and before.kind in ("name", "count"):
                self.ask(piece, "zero")
            self.pending.zero = True
            self.pending.runs.add(piece.run)
        elif piece.value == "none" and last is not None and not last.counted:
            last.zero = True
            last.runs.add(piece.run)
        elif piece.value == "no" and self.ahead(anywhere=True) and (self.drafts or self.pending.counted):
            self.correcting = True
        else:
            self.ask(piece, "zero")

    def total(self, _piece: Piece) -> None:
        """Hold "that's three" against what was called; names without a number are one animal each then."""
        ahead = self.ahead()
        if ahead is None or ahead.kind != "count":
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

    def _part(self, piece: Piece, value: int, last: Draft) -> None:
        """Take a number without a name as part of the lot before it: "six hermits, one of them dead"."""
        whole = self.whole or last
        after = self.pieces[self.at + 1 : self.at + 2]
        of_them = bool(after) and after[0].kind == "of"
        if (
            "fate" in last.own and self.whole is None and not of_them
        ):  # "twelve dead, twenty back" are thirty-two
            self.drafts.append(
                Draft(last.taxon, last.said, value, stage=last.stage, runs={piece.run}, part=True)
            )
        elif whole.count is None or value > whole.count:
            self.ask(piece, "count")
        elif value == whole.count:  # the same animals again, or the rest of them
            self.drafts.remove(whole)
            self.drafts.append(whole)
        elif piece.said in ("a", "an"):
            self.ask(piece, "count")
        else:
            part = replace(
                whole, count=value, doubts=list(whole.doubts), runs={piece.run}, part=True, own=set()
            )
            whole.count, whole.split, self.whole = whole.count - value, True, whole
            self.drafts.append(part)
