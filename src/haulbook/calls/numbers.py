"""Whole numbers, halves and tenths out of number words and digits: "a hundred and five", "two and a half dozen"."""

from __future__ import annotations

from dataclasses import dataclass

from haulbook.calls.phrases import Mark

MOST_COUNT = 99_999
"""Larger numbers are slips of a finger or no count at all."""


@dataclass(frozen=True, slots=True)
class Number:
    """A number in a run.

    Attributes
    ----------
    value : int or float or None
        None above ``MOST_COUNT``.
    whole : bool
        It can count animals: no "6.5".
    after : int
        The mark behind it.
    """

    value: int | float | None
    whole: bool
    after: int


def number_at(marks: tuple[Mark, ...], at: int) -> Number | None:
    """Return the number that begins at a mark; None where none does."""
    reading = _Reading(marks, at)
    while reading.at < len(marks) and reading.takes(marks[reading.at]):
        pass
    return reading.number()


class _Reading:
    """A number while it is read.

    ``current`` gathers up to a thousand, ``total`` the thousands; ``article``: so far only "a" or "another" was said,
    which a number may follow; ``digits``: no number word goes on with digits.
    """

    def __init__(self, marks: tuple[Mark, ...], at: int) -> None:
        self.marks, self.start, self.at = marks, at, at
        self.total: int = 0
        self.current: int | float = 0
        self.seen = self.digits = self.article = self.ended = False

    def takes(self, mark: Mark) -> bool:
        """Take a mark into the number; False where it is no part of it."""
        step = {
            "digits": self._digits, "number": self._number, "article": self._article, "more": self._more,
            "half": self._half, "times": self._times, "and": self._and, "point": self._point,
        }.get(mark.kind)  # fmt: skip
        return step is not None and not self.ended and step(mark)

    def number(self) -> Number | None:
        if not self.seen:
            return None
        value = self.total + self.current
        return Number(value if value <= MOST_COUNT else None, not self.ended, self.at)

    def _digits(self, mark: Mark) -> bool:
        if self.seen and not self.article:
            return False
        value = float(mark.said)
        if "." in mark.said:
            return self._ends(value, 1)
        return self._goes_on(int(value) if value <= MOST_COUNT else value, digits=True)

    def _number(self, mark: Mark) -> bool:
        value = int(mark.value)
        if self.digits or not self._adds(value):
            return False
        return self._goes_on(value if self.article else self.current + value)

    def _article(self, _mark: Mark) -> bool:
        if self.seen:
            return False
        self._goes_on(1)
        self.article = True
        return True

    def _more(self, _mark: Mark) -> bool:
        """Take "other" in "other two"."""
        numbers = ("digits", "number", "article", "half", "times")
        if self.at != self.start or not self._next_is(1, *numbers):
            return False
        self.at += 1
        return True

    def _half(self, _mark: Mark) -> bool:
        """Take "half a dozen", "half an inch"."""
        skipped = 2 if self._next_is(1, "article") else 1
        if self.seen and not self.article:
            return False
        if self._next_is(skipped, "times"):
            return self._goes_on(int(self.marks[self.at + skipped].value) // 2, skipped + 1)
        return self._next_is(skipped, "unit") and self._ends(0.5, skipped)

    def _times(self, mark: Mark) -> bool:
        times = int(mark.value)
        if not self.seen and mark.cost > 0 and times == 12:  # "does" is no misspelt dozen
            return False
        if self.current >= times:
            return False
        self._goes_on(max(self.current, 1) * times)
        if times == 1000:
            self.total, self.current = self.total + int(self.current), 0
        return True

    def _and(self, _mark: Mark) -> bool:
        """Take "a hundred and five", "two and a half dozen", "six and a half inches"."""
        before = self.marks[self.at - 1] if self.at > self.start else None
        if not self.seen or before is None:
            return False
        if before.kind == "times" and self._next_is(1, "number"):
            self.at += 1
            return True
        half = 2 if self._next_is(1, "article") else 1
        if not self._next_is(half, "half"):
            return False
        if before.kind == "times":
            return self._goes_on(self.current + int(before.value) // 2, half + 1)
        if self._next_is(half + 1, "times"):
            times = int(self.marks[self.at + half + 1].value)
            return self._goes_on(int(self.current * times) + times // 2, half + 2)
        return self._ends(self.current + 0.5, half + 1)

    def _point(self, _mark: Mark) -> bool:
        if not self.seen or not self._next_is(1, "number", "digits"):
            return False
        said = self.marks[self.at + 1].value
        return len(said) == 1 and self._ends(self.current + int(said) / 10, 2)

    def _goes_on(self, value: int | float, used: int = 1, *, digits: bool = False) -> bool:
        self.current, self.digits, self.seen, self.article = value, digits, True, False
        self.at += used
        return True

    def _ends(self, value: float, used: int) -> bool:
        self.ended = True
        return self._goes_on(value, used)

    def _next_is(self, ahead: int, *kinds: str) -> bool:
        at = self.at + ahead
        return at < len(self.marks) and self.marks[at].kind in kinds

    def _adds(self, value: int) -> bool:
        """Say whether a number word goes on with what came before: "twenty" + "four", not "fifteen" + "five"."""
        if not self.seen or self.article or self.current % 100 == 0:
            return True
        return value < 10 and self.current % 10 == 0 and self.current % 100 >= 20
