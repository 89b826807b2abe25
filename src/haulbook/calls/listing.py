"""Reading a call from left to right into lots of animals.

The rules are those of spoken tallies (common practice, no source): see ``counting`` and ``parts`` for numbers,
``naming`` for names and ``scope`` for what is said of animals. Where two readings are left, the call is asked.
"""

from __future__ import annotations

from collections.abc import Callable

from haulbook.calls.answer import Ask
from haulbook.calls.counting import Counting
from haulbook.calls.naming import Naming
from haulbook.calls.pieces import Piece
from haulbook.calls.scope import Scope
from haulbook.calls.state import PASSED_OVER, SAID_OF

_QUIET = (*PASSED_OVER, "chatter", "gets", "at", "and")
"""What enters nothing. With a slip in it, it may have been something that counts."""
_SILENT = (*PASSED_OVER, "gets", "at", "yet", "ones")
_LONG_PHRASE = 3
"""From so many words on, a phrase that enters nothing is known in spite of a slip."""
_BEFORE_NAMES = ("just", "only", "really", "was", "were", "is", "are")
_MAY_HIDE_A_NAME = ("filler", "and", "chatter", "oops")
_NOT_YET = ("still no", "still havent", "havent")
_POINT_OUT = (" one", " ones", " guy", " guys", " fella")
_NAMES = ("name", "stranger")
_NUMBERS = ("count", "decimal", "length")


class Listing(Counting, Naming, Scope):
    """The reading of one call; ``drafts`` and ``asks`` are what comes of it."""

    def read(self) -> None:
        """Read all pieces; what no rule speaks of is put back."""
        steps: dict[str, Callable[[Piece], None]] = {
            **dict.fromkeys(_SILENT, self._enters_nothing), **dict.fromkeys(SAID_OF, self.said_of),
            "and": self._enters_nothing, "chatter": self._enters_nothing, "or": self._either,
            "count": self.count, "vague": self.vague, "zero": self.zero, "hedge": self.hedge, "refer": self.estimate,
            "half": self.half, "rest": self.rest, "total": self.total, "correct": self.correct,
            "all": self.all_of_them, "doubt": self.doubt, "kinds": self.kinds, "name": self.name,
            "stranger": self.stranger,
        }  # fmt: skip
        for at in range(len(self.pieces)):
            self.at, piece = at, self.pieces[at]
            if piece.kind != "name" and not self._reliable(piece):
                self.ask(piece, "words")
            if not (piece.kind in _NUMBERS and self.each_length()):
                steps.get(piece.kind, self._not_understood)(piece)
        self._finish()

    def _reliable(self, piece: Piece) -> bool:
        if piece.kind in _QUIET and not piece.exact and len(piece.said.split()) < _LONG_PHRASE:
            return False
        return piece.sure

    def _not_understood(self, piece: Piece) -> None:
        """Take a word that was not understood as a name where one is due, else put it back."""
        if piece.kind == "loose" and self.pending.counted:
            self.stranger(piece)
        elif not (piece.kind == "loose" and self.joins_unread(piece)):
            self.ask(piece, "count" if piece.kind == "decimal" else "words")
            self.undone = self.undone or piece.kind in ("not", "undo")

    def _enters_nothing(self, piece: Piece) -> None:
        """Pass over what says nothing, unless something that counts may be hidden in it.

        Between a number and its name it may be a piece of another name; beside a name, talk about the net may be a
        fate; behind a last "and" something is missing; behind "oops" something else may be meant.
        """
        self.hesitated = self.hesitated or piece.kind == "oops"
        hidden = piece.kind in _MAY_HIDE_A_NAME and piece.said not in _BEFORE_NAMES and self._inside_a_lot()
        if self._points_out(piece):
            hidden = True
        elif piece.value == "slip":
            hidden = hidden or (bool(self.drafts) and self._goes_on_counting())
        elif piece.kind == "chatter":
            hidden = hidden or any(one.kind in _NAMES and one.run == piece.run for one in self.pieces)
        elif piece.kind == "and":
            hidden = hidden or not self._goes_on()
        if hidden:
            self.ask(piece, "words")

    def _inside_a_lot(self) -> bool:
        """Say whether a number waits for its name here; "two clumps of squid eggs" are two all the same."""
        ahead = self.name_ahead()
        return self.pending.counted and ahead is not None and ahead.stage != "egg mass"

    def _points_out(self, piece: Piece) -> bool:
        """Hear "the big one back", "small ones back": part of the lot before, and not clear how many."""
        ahead, many = self.ahead(), self.last is not None and self.last.count != 1
        dealt = ahead is not None and ahead.kind in SAID_OF
        return many and dealt and piece.said.endswith(_POINT_OUT) and self.before() is None

    def _goes_on(self) -> bool:
        return self.right_behind() is not None or (
            self.right_before() is None and self.at + 1 < len(self.pieces)
        )

    def _goes_on_counting(self) -> bool:
        return any(one.kind in ("count", "vague", "name", "stranger") for one in self.pieces[self.at :])

    def _either(self, piece: Piece) -> None:
        """Take "a grubby or a longhorn" as one question with both."""
        behind = [one for one in self.pieces[self.at + 1 :] if one.run == piece.run]
        before, opens = self.before(), piece.said == "either"
        if opens and any(one.kind == "or" for one in behind):
            return
        beside = before is not None and before.kind == "name"
        named = any(one.kind == "name" for one in behind) and not self.pending.counted
        self.either = named and self.last is not None and (beside or (opens and before is None))
        if not self.either:
            self.ask(piece, "words")

    def _search_on(self) -> None:
        """Drop "no eels yet", which is no true zero; "three eels so far" may be all that were called."""
        yet = [piece for piece in self.pieces if piece.kind == "yet"]
        going_on = {one.run for one in yet}
        denied = {one.run for one in yet if one.said.startswith(_NOT_YET)}
        kept = [draft for draft in self.drafts if not (draft.zero and draft.runs & going_on)]
        self.drafts = [draft for draft in kept if draft.counted or not draft.runs & denied]
        for draft in self.drafts:
            if draft.counted and draft.runs & going_on:
                self.asks.append((max(draft.runs & going_on), Ask(draft.said, "count")))

    def _finish(self) -> None:
        self._search_on()
        if self.pending.counted:
            self.asks.append((min(self.pending.runs, default=0), Ask(self.pending.said, "words")))
        if self.correcting or self.everyone_waits or self.header_waits or self.rest_waits:
            self.asks.append((self.pieces[-1].run, Ask(self.pieces[-1].said, "words")))
        for draft in self.drafts:
            if draft.part and not draft.own:
                self.asks.append((min(draft.runs), Ask(draft.said, "count")))
            elif draft.sure and not draft.counted:
                if draft.opens and not draft.plural and not self.one_run:
                    draft.count = 1
                else:
                    self.asks.append((min(draft.runs), Ask(draft.said, "count", (), draft.line())))
