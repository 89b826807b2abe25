"""What is said of animals in a call: which lots a fate, a place, a stage, a length or a doubt belongs to."""

from __future__ import annotations

from haulbook.calls.drafts import Draft
from haulbook.calls.pieces import Piece
from haulbook.calls.state import SAID_OF, SHARED, State


class Scope(State):
    """How far what is said reaches.

    Said right after one animal, of that animal; after "all" or "both", of every one; after a pause behind a list, of
    the whole list; before everything, of what follows until the next.
    """

    def said_of(self, piece: Piece) -> None:
        """Give a fate, place, stage or length to the lots it was said of."""
        kind, value = SAID_OF[piece.kind], piece.value
        unclear = value is None or str(value).startswith("?")
        if (
            unclear
            or self._back_in_a_bucket(piece)
            or self._died_in_a_bucket(piece)
            or self._is_with_it(piece)
        ):
            self.ask(piece, piece.kind)
        elif self.correcting and self.last is not None and not self.pending.counted:
            setattr(self.last, kind, value)
            self.correcting = False
        elif self.name_ahead() and self.pending.counted:
            unheard = piece.kind == "fate" and (
                value != "dead" or not piece.exact
            )  # nobody calls "two back cunner"
            if unheard or not self.pending.give(kind, value, piece.run):
                self.ask(piece, piece.kind)
        elif self.name_ahead() and kind == "stage" and not self.everyone:
            self.pending.stage = str(value)
        elif self._covers_what_follows(piece, kind):
            self.header[kind] = str(value)
            self.header_waits, self.everyone, self.everyone_waits = True, False, False
        else:
            self._trails(piece, kind)

    def all_of_them(self, _piece: Piece) -> None:
        """Take "all", "both": the next thing said is said of every lot."""
        self.everyone = self.everyone_waits = True

    def doubt(self, piece: Piece) -> None:
        """Take "maybe", "I think": of the name ahead, else of the lot before."""
        ahead = self.ahead()
        of_next = ahead is not None and ahead.kind in ("count", "name", "vague", "stage", "hedge")
        (self.pending if of_next or self.last is None else self.last).doubts.append(str(piece.value))

    def kinds(self, piece: Piece) -> None:
        """Take "not sure which": sound for a group, a question for a species."""
        ahead, last = self.name_ahead(), self.last
        taxon = str(ahead.value) if ahead and ahead.kind == "name" else last.taxon if last else None
        if taxon is None or self.pack[taxon].rank == "species":
            self.ask(piece, "name")

    def _back_in_a_bucket(self, piece: Piece) -> bool:
        """Hear "back in bucket two", which is not back in the sea; "rel b2" is out of the bucket."""
        before = self.right_before()
        if piece.kind != "place" or before is None or before.value != "back":
            return False
        return before.said.endswith(" in") or piece.said.startswith(("in ", "into ", "to "))

    def _died_in_a_bucket(self, piece: Piece) -> bool:
        """Hear "one stag in bucket two died", which was called before it died."""
        around = (self.before(), self.ahead())
        return piece.said in ("died", "dies") and any(
            one is not None and one.kind == "place" for one in around
        )

    def _is_with_it(self, piece: Piece) -> bool:
        """Hear "moon snail with collar": either may have been called."""
        before = self.right_before()
        return piece.kind == "stage" and before is not None and before.said == "with"

    def _covers_what_follows(self, piece: Piece, kind: str) -> bool:
        if kind not in SHARED or self.pending.counted:
            return False
        before, ahead = self.before(), self.ahead()
        if ahead is not None and ahead.kind == "gets":
            return True
        if not self.drafts:
            return before is None or before.kind in ("fate", "place", "all")
        joint, listed = self.right_before(), ahead is not None and ahead.kind in ("count", "name", "vague")
        if kind in self.header and listed and joint is not None and joint.kind == "and":
            return True  # "release four pipefish and keep two seahorses"
        if not self.opens_run(piece) or self.everyone:
            return False
        return kind in self.header or listed

    def _trails(self, piece: Piece, kind: str) -> None:
        lots, ahead = [draft for draft in self.drafts if not draft.zero], self.ahead()
        misspelt = not piece.exact and ahead is not None and ahead.kind in ("count", "name")
        if not lots or (kind == "stage" and misspelt):
            self.ask(piece, piece.kind)
            return
        targets = lots if self.everyone else self._reached(piece, kind, lots)
        for draft in targets:
            covered = (
                kind in self.header
                and kind not in draft.own
                and getattr(draft, kind) not in (None, piece.value)
            )
            if covered or not draft.give(kind, piece.value, piece.run):
                self.ask(piece, piece.kind)
        self.everyone_waits = self.rest_waits = False

    def _reached(self, piece: Piece, kind: str, lots: list[Draft]) -> list[Draft]:
        """Return the list before a pause, or the last lot alone."""
        last = lots[-1]
        own = [draft for draft in lots if draft.series == last.series] if last.series is not None else [last]
        listed: list[Draft] = []
        if last.part and not last.own & SHARED and self.opens_run(piece) and piece.run not in last.runs:
            self.ask(piece, piece.kind)  # "eight hermits, two of them young, back": two, or all of them
        for draft in reversed(lots):
            if kind in draft.own or draft.part or draft.split or (draft.own ^ last.own) & SHARED:
                break
            listed.append(draft)
        if len(listed) <= len(own) or kind == "length_mm" or piece.value in ("egg mass", "larva"):
            return own
        referring = [
            one.said for one in self.pieces[: self.at] if one.run == piece.run and one.kind == "refer"
        ]
        if referring and "one" not in referring[-1]:
            self.ask(piece, piece.kind)
        if self.opens_run(piece) and kind not in self.header:
            return listed
        if self.one_run or len([draft for draft in listed if piece.run in draft.runs]) > len(own):
            self.ask(piece, piece.kind)
        return own
