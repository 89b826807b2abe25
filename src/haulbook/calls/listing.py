"""Reading a call from left to right into lots of animals.

The rules are those of spoken tallies (common practice, no source): see ``counting`` for numbers and ``scope`` for
what is said of animals. Where two readings are left, the call is asked.
"""

from __future__ import annotations

from collections.abc import Callable

from haulbook.calls.answer import Ask
from haulbook.calls.counting import Counting
from haulbook.calls.drafts import Draft
from haulbook.calls.pieces import Piece
from haulbook.calls.scope import Scope
from haulbook.calls.state import PASSED_OVER, SAID_OF

_QUIET = (*PASSED_OVER, "chatter", "gets", "at", "and")
"""What enters nothing. With a slip in it, it may have been something that counts."""
_LONG_PHRASE = 3
"""From so many words on, a phrase that enters nothing is known in spite of a slip."""
_BEFORE_NAMES = ("just", "only", "really")


class Listing(Counting, Scope):
    """The reading of one call; ``drafts`` and ``asks`` are what comes of it."""

    def read(self) -> None:
        """Read all pieces."""
        steps: dict[str, Callable[[Piece], None]] = {
            **dict.fromkeys(SAID_OF, self.said_of),
            **dict.fromkeys(("loose", "or", "undo", "not", "unit", "bound"), self._not_understood),
            **dict.fromkeys(("filler", "and", "chatter", "oops"), self._enters_nothing),
            "count": self.count, "vague": self.vague, "zero": self.zero, "hedge": self.hedge, "total": self.total,
            "correct": self.correct, "all": self.all_of_them, "doubt": self.doubt, "kinds": self.kinds,
            "name": self._name, "stranger": self._stranger,
        }  # fmt: skip
        for at in range(len(self.pieces)):
            self.at, piece = at, self.pieces[at]
            if piece.kind != "name" and not self._reliable(piece):
                self.ask(piece, "words")
            if piece.kind in steps:
                steps[piece.kind](piece)
        self._finish()

    def _reliable(self, piece: Piece) -> bool:
        if piece.kind in _QUIET and not piece.exact and len(piece.said.split()) < _LONG_PHRASE:
            return False
        return piece.sure

    def _not_understood(self, piece: Piece) -> None:
        """Take a word that was not understood as a name where one is due, else put it back."""
        if piece.kind == "loose" and self.pending.counted:
            self._stranger(piece)
        elif not (piece.kind == "loose" and self._joins_unread(piece)):
            self.ask(piece, "words")

    def _joins_unread(self, piece: Piece) -> bool:
        """Add a word right behind a name that was not understood to it: "2 striped bass"."""
        before, last = self.right_before(), self.last
        unread = last is not None and not last.sure and before is not None and last.said.endswith(before.said)
        if unread and last is not None and not self.pending.counted:
            last.said += f" {piece.said}"
            return True
        return False

    def _enters_nothing(self, piece: Piece) -> None:
        """Pass over what says nothing, unless something that counts may be hidden in it.

        Between a number and its name it may be a piece of another name; beside a name, talk about the net may be a
        fate; behind a last "and" something is missing.
        """
        named = any(one.kind in ("name", "stranger") and one.run == piece.run for one in self.pieces)
        hidden = self.pending.counted and self.name_ahead() and piece.said not in _BEFORE_NAMES
        if (
            hidden
            or (piece.kind == "chatter" and named)
            or (piece.kind == "and" and not self._goes_on(piece))
        ):
            self.ask(piece, "words")

    def _goes_on(self, piece: Piece) -> bool:
        after = self.pieces[self.at + 1 : self.at + 2]
        return bool(after) and (after[0].run == piece.run or self.right_before() is None)

    def _stranger(self, piece: Piece) -> None:
        draft, self.pending = self.pending, Draft()
        draft.said, draft.sure = piece.said, False
        draft.runs.add(piece.run)
        self.drafts.append(draft)

    def _name(self, piece: Piece) -> None:
        if self._joins_unread(piece) or self._says_more(piece):
            return
        if self.correcting and self.drafts:
            corrected = self.drafts.pop()
            if not self.pending.counted:
                self.pending.count, self.pending.vague = corrected.count, corrected.vague
            self.pending.stage = self.pending.stage or corrected.stage
        self.drafts.append(self._lot(piece))
        self.pending = Draft()
        self.correcting = self.everyone = self.header_waits = False
        self.whole = None

    def _lot(self, piece: Piece) -> Draft:
        """Return the lot that a name stands for, with all that was said before it."""
        draft, before = self.pending, self.before()
        draft.taxon, draft.said, draft.plural = str(piece.value), piece.said, piece.plural
        draft.stage = draft.stage or piece.stage
        draft.runs.add(piece.run)
        draft.opens = not self.drafts and (before is None or before.kind == "stage")
        if not piece.sure:
            draft.sure = False
            draft.choices = tuple(dict.fromkeys((str(piece.value), *piece.rivals)))
        for kind, value in self.header.items():
            if getattr(draft, kind) is None and not draft.zero:
                setattr(draft, kind, value)
        return draft

    def _says_more(self, piece: Piece) -> bool:
        """Take a name that only says more of a lot that was called already."""
        last, taxon = self.last, str(piece.value)
        if last is None or last.taxon is None or self.correcting or not piece.sure or not last.sure:
            return False
        alone = not self.pending.counted or (self.pending.count == 1 == last.count)
        if alone and "name" in self.pending.doubts and self.pack.is_within(taxon, last.taxon):
            last.taxon, self.pending = taxon, Draft()  # "a sculpin, probably a grubby"
            last.doubts.append("name")
            last.runs.add(piece.run)
            return True
        if self.pending.counted:
            return False
        before = self.before()
        if before is not None and before.kind == "fate":  # "two rock crabs, one Jonah, kept the Jonah"
            same = [draft for draft in self.drafts if draft.taxon == taxon]
            if len(same) == 1 and same[0].fate in (None, before.value):
                same[0].give("fate", before.value, piece.run)
                self.header.pop("fate", None)
                self.header_waits = False
                return True
        # "six river herring, alewife or blueback"
        return taxon == last.taxon and before is None and last.counted and " or " in piece.said

    def _finish(self) -> None:
        open_runs = {
            piece.run for piece in self.pieces if piece.kind == "yet"
        }  # "no eels yet" is no true zero
        self.drafts = [draft for draft in self.drafts if not (draft.zero and draft.runs & open_runs)]
        if self.pending.counted:
            self.asks.append((min(self.pending.runs, default=0), Ask(self.pending.said, "words")))
        if self.correcting or self.everyone_waits or self.header_waits:
            self.asks.append((self.pieces[-1].run, Ask(self.pieces[-1].said, "words")))
        for draft in self.drafts:
            if draft.part and not draft.own:
                self.asks.append((min(draft.runs), Ask(draft.said, "count")))
            elif draft.sure and not draft.counted:
                if draft.opens and not draft.plural and not self.one_run:
                    draft.count = 1
                else:
                    self.asks.append((min(draft.runs), Ask(draft.said, "count", (), draft.line())))
