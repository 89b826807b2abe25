"""Names in a call: a new lot, more about the one before, or a second name for it."""

from __future__ import annotations

from haulbook.calls.drafts import Draft
from haulbook.calls.parts import Parts
from haulbook.calls.pieces import Piece


class Naming(Parts):
    """How names are taken, with all that was said before them."""

    def stranger(self, piece: Piece) -> None:
        """Take an animal that is not in the pack, or words where a name is due: who it is is asked."""
        draft, self.pending = self.pending, Draft()
        draft.said, draft.sure = piece.said, False
        draft.runs.add(piece.run)
        self.hold_group(piece)
        self.drafts.append(draft)

    def name(self, piece: Piece) -> None:
        """Take a name of the pack."""
        if self._is_offered(piece) or self.joins_unread(piece) or self._says_more(piece):
            return
        if self.correcting and self.drafts:
            corrected = self.drafts.pop()
            if not self.pending.counted:
                self.pending.count, self.pending.vague = corrected.count, corrected.vague
            self.pending.stage = self.pending.stage or corrected.stage
        lot, before = self._lot(piece), self.last
        if self.hesitated and before is not None and before.taxon == lot.taxon and not self.correcting:
            before.runs.add(piece.run)  # "two cunner, uh, three cunner"
            self.ask(piece, "count")
        self.take_out(lot, piece)
        self.drafts.append(lot)
        self.pending, self.whole = Draft(), None
        self.correcting = self.everyone = self.header_waits = self.hesitated = False

    def _is_offered(self, piece: Piece) -> bool:
        """Take the second name of "a grubby or a longhorn": which of them is asked."""
        last, offered, self.either = self.last, self.either, False
        if not offered or last is None or self.pending.count not in (None, 1) or self.pending.vague:
            return False
        known = (*last.choices, last.taxon or "", str(piece.value), *piece.rivals)
        last.choices = tuple(dict.fromkeys(filter(None, known)))
        last.said, last.sure = f"{last.said} or {piece.said}", False
        last.runs.add(piece.run)
        self.pending = Draft()
        return True

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
            self._refine(last, piece)  # "a sculpin, probably a grubby"
            last.doubts.append("name")
            return True
        if alone and last.counted and "name" in self.pending.doubts and not self._goes_with(piece):
            self.either = True  # "one cod, maybe a pollock"
            return self._is_offered(piece)
        if self.pending.counted:
            return False
        if self._more_exact(piece, last):
            self._refine(last, piece)
            return True
        before = self.before()
        if before is not None and before.kind == "fate":  # "two rock crabs, one Jonah, kept the Jonah"
            same = [draft for draft in self.drafts if draft.taxon == taxon]
            if len(same) == 1 and same[0].fate in (None, before.value):
                same[0].give("fate", before.value, piece.run)
                self.header.pop("fate", None)
                self.header_waits = False
                return True
        # "six river herring, alewife or blueback", "six eels, glass eels"
        again = taxon == last.taxon and before is None and last.counted
        return again and (" or " in piece.said or piece.plural)

    def _goes_with(self, piece: Piece) -> bool:
        """Say whether an "and" or "another" makes a name one more animal."""
        own = [one for one in self.pieces[: self.at] if one.run == piece.run]
        return any(one.kind == "and" or one.said == "another" for one in own)

    def _more_exact(self, piece: Piece, last: Draft) -> bool:
        """Recognise "sculpin, staghorn, one" and "one sculpin staghorn"."""
        if str(piece.value) == last.taxon or not self.pack.is_within(str(piece.value), str(last.taxon)):
            return False
        before = self.right_before()
        beside = before is not None and before.kind == "name" and before.exact and piece.exact
        return beside or (not last.counted and not piece.plural and not last.plural)

    def _refine(self, last: Draft, piece: Piece) -> None:
        last.taxon, last.said, self.pending = str(piece.value), piece.said, Draft()
        last.stage = last.stage or piece.stage
        last.runs.add(piece.run)

    def joins_unread(self, piece: Piece) -> bool:
        """Add a word right behind a name that was not understood to it: "2 striped bass"."""
        before, last = self.right_before(), self.last
        unread = last is not None and not last.sure and before is not None and last.said.endswith(before.said)
        if unread and last is not None and not self.pending.counted:
            last.said += f" {piece.said}"
            return True
        return False
