"""Parts of a lot: "one of them dead", "rest back", "half of them", "45, 52 and 61 mm", "two of them longhorns"."""

from __future__ import annotations

from dataclasses import replace

from haulbook.calls.answer import Length
from haulbook.calls.drafts import Draft
from haulbook.calls.pieces import Piece, in_mm
from haulbook.calls.state import SHARED, State

_BETWEEN_LENGTHS = ("and", "hedge", "at", "filler")


class Parts(State):
    """How a lot that was called is divided, so that no animal is counted twice."""

    def part(self, piece: Piece, value: int) -> None:
        """Take a number without a name: part of the lot before it, or more of the same animals."""
        last, ahead = self.last, self.ahead()
        whole = self.whole or last
        if last is None or whole is None:
            return
        after = self.right_behind()
        dealt_with = last.own & SHARED if self.whole is None and not (after and after.kind == "of") else set()
        more = (
            piece.said == "another" or " more" in piece.said or (after is not None and after.kind == "more")
        )
        other_stage = ahead is not None and ahead.kind == "stage" and last.stage not in (None, ahead.value)
        if self._sounds_like_to(piece):
            self.ask(piece, "count")
        elif dealt_with:  # "twelve dead, twenty back" are thirty-two
            if ahead is None or ahead.kind not in dealt_with or ahead.value == getattr(last, ahead.kind):
                self.ask(piece, "count")
            else:
                self._add(last, piece, value, last.stage)
        elif self.whole is None and (more or other_stage):  # "and one more", "and three young ones"
            self._add(last, piece, value, None if other_stage else last.stage)
        elif whole.count is None or value > whole.count:
            self.ask(piece, "count")
        elif value == whole.count:  # the same animals again, or the rest of them
            self._turn_to(whole)
        elif piece.said in ("a", "an"):
            self.ask(piece, "count")
        else:
            part = replace(
                whole, count=value, doubts=list(whole.doubts), runs={piece.run}, part=True, own=set()
            )
            whole.count, whole.split, self.whole = whole.count - value, True, whole
            self.drafts.append(part)

    def _sounds_like_to(self, piece: Piece) -> bool:
        """Hear "six cunner two bucket two", which may be "to bucket two"."""
        before, after = self.right_before(), self.right_behind()
        named = before is not None and before.kind == "name"
        return named and piece.said == "two" and after is not None and after.kind == "place"

    def half(self, piece: Piece) -> None:
        """Take "half of them", "half back, half kept"; "half dead" says nothing clear."""
        before, after, whole = self.right_before(), self.right_behind(), self.last
        if self.whole is not None:
            self.rest(piece)
        elif whole is None or not whole.count or whole.count % 2 or after is None:
            self.ask(piece, "count")
        elif after.kind == "of" or (after.kind in SHARED and after.value != "dead" and before is None):
            self.part(piece, whole.count // 2)
        else:
            self.ask(piece, "count")

    def rest(self, piece: Piece) -> None:
        """Take "the rest", "the others": what is left of the lot that parts were taken of."""
        ahead = self.ahead()
        whole = self.whole
        if whole is None or not whole.count or (ahead is not None and ahead.kind in ("count", "name")):
            self.ask(piece, "words")
            return
        self._turn_to(whole)
        self.rest_waits = True

    def each_length(self) -> bool:
        """Take one length for each animal of the lot before: as many lots of one."""
        last = self.last
        if last is None or last.length_mm is not None or self.pending.counted or self.correcting:
            return False
        series = self._series()
        lengths = _in_mm(series)
        if last.count is None or last.count < 2 or len(series) != last.count or None in lengths:
            return False
        self.drafts[-1:] = [
            replace(
                last,
                count=1,
                length_mm=length,
                doubts=list(last.doubts),
                runs={*last.runs, one.run},
                own={*last.own, "length_mm"},
                series=self.at,
            )
            for one, length in zip(series, lengths, strict=True)
        ]
        self.pending = Draft()
        taken = set(map(id, series))
        self.pieces = [replace(one, kind="filler") if id(one) in taken else one for one in self.pieces]
        return True

    def take_out(self, lot: Draft, piece: Piece) -> None:
        """Take a lot out of the group that was called before it and that it is said to be of."""
        (group, sure), self.group = self._group_of(piece), None
        if group is None or lot.count is None or lot.taxon is None or group.taxon in (None, lot.taxon):
            return
        if not self.pack.is_within(lot.taxon, str(group.taxon)):
            return
        if not group.counted:
            self.drafts.remove(group)  # "sculpins: three grubbies, two longhorns"
            return
        if not sure or group.count is None or lot.count > group.count:
            self.ask(piece, "count")
            return
        for kind in ("stage", "fate", "place"):
            if getattr(lot, kind) is None:
                setattr(lot, kind, getattr(group, kind))
        group.count -= lot.count
        if not lot.sure:
            group.runs.add(piece.run)
        if not group.count and group in self.drafts:
            self.drafts.remove(group)
        self.group, group.split, lot.part = group, True, True
        lot.own.add("taxon")

    def hold_group(self, piece: Piece) -> None:
        """Keep a group back while it is not clear what was taken out of it."""
        self.group = self._group_of(piece)[0]
        if self.group is not None:
            self.group.runs.add(piece.run)

    def _group_of(self, piece: Piece) -> tuple[Draft | None, bool]:
        """Return the lot that a name may be part of, and whether it surely is.

        "Of them" was said, or a colon stands behind the lot; "one of those spider crabs" may be one more.
        """
        last = self.last
        if self.group is not None or last is None:
            return self.group, True
        own = [one for one in self.pieces[: self.at] if one.run == piece.run]
        while own and own[-1].kind not in ("count", "name"):
            if own[-1].kind == "of":
                return last, own[-1].value == "them"
            own.pop()
        behind_colon = self.stops[max(last.runs)] == ":" and max(last.runs) < piece.run
        return (last if behind_colon else None), True

    def _add(self, last: Draft, piece: Piece, value: int, stage: str | None) -> None:
        self.drafts.append(Draft(last.taxon, last.said, value, stage=stage, runs={piece.run}))

    def _turn_to(self, whole: Draft) -> None:
        self.drafts.remove(whole)
        self.drafts.append(whole)

    def _series(self) -> list[Piece]:
        """Return the numbers and lengths from this piece on, where they end in a length; else nothing."""
        series: list[Piece] = []
        for piece in self.pieces[self.at :]:
            if piece.kind in ("count", "decimal", "length") and piece.said not in ("a", "an") and piece.sure:
                series.append(piece)
            elif piece.kind not in _BETWEEN_LENGTHS:
                break
        while series and series[-1].kind != "length":
            series.pop()
        return series


def _in_mm(series: list[Piece]) -> list[Length | None]:
    """Return a series in millimetres; a bare number has the unit of the last."""
    unit = series[-1].unit if series else 0.0
    return [in_mm(one.value, 1.0 if one.kind == "length" else unit) for one in series]
