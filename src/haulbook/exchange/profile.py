"""What stands in a column, taken from its distinct texts: the evidence that a guess needs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from haulbook.exchange.cells import CellTrouble, parse_count, parse_number
from haulbook.exchange.date_forms import date_forms_of, time_forms_of
from haulbook.exchange.table import Column

MISSING_WORDS = frozenset({"n/a", "na", "n.a.", "-", "--", ".", "nan", "null", "none", "no data", "nd"})
NOTHING_WORDS = frozenset(
    {"-", "none", "no fish", "nofish", "no catch", "nothing", "empty", "no bycatch", "zero catch"}
)
TOTAL_WORDS = frozenset(
    {"total", "totals", "sum", "grand total", "subtotal", "all species", "total fish", "all"}
)


@dataclass(frozen=True)
class Profile:
    """A column, its texts without blanks and without words for "no value"."""

    column: Column

    @cached_property
    def rows_of(self) -> tuple[int, ...]:
        """In how many rows each distinct text stands."""
        return tuple(np.bincount(self.column.codes, minlength=len(self.column.values)).tolist())

    @cached_property
    def values(self) -> tuple[str, ...]:
        """Distinct texts, stripped, that say something."""
        said = dict.fromkeys(text.strip() for text in self.column.values)
        return tuple(text for text in said if text and text.casefold() not in MISSING_WORDS)

    @cached_property
    def missing_words(self) -> tuple[str, ...]:
        """Words for "no value" as written in this column."""
        return tuple(text.strip() for text in self.column.values if text.strip().casefold() in MISSING_WORDS)

    def share(self, good: Callable[[str], bool]) -> float:
        """Return the share of ``good`` texts among the rows that say something; 0 where none does."""
        told = right = 0
        for text, rows in zip(self.column.values, self.rows_of, strict=True):
            said = text.strip()
            if said and said.casefold() not in MISSING_WORDS:
                told += rows
                right += rows if good(said) else 0
        return right / told if told else 0.0

    @cached_property
    def counts(self) -> float:
        """Share of rows that hold a whole number."""
        return self.share(lambda said: isinstance(parse_count(said), int))

    @cached_property
    def numbers(self) -> tuple[float, ...]:
        """The distinct numbers, smallest first."""
        read = (parse_number(said) for said in self.values)
        return tuple(sorted(value for value in read if isinstance(value, float)))

    @cached_property
    def numeric(self) -> float:
        """Share of rows that hold a number."""
        return self.share(lambda said: not isinstance(parse_number(said), CellTrouble))

    @cached_property
    def date_forms(self) -> tuple[str, ...]:
        """Every date form that fits all that is said."""
        return date_forms_of(self.values)

    @cached_property
    def time_forms(self) -> tuple[str, ...]:
        """Every time form that fits all that is said."""
        return time_forms_of(self.values)

    @cached_property
    def small_numbers(self) -> bool:
        """Whether all are whole numbers of at most three digits, as hauls of a day are numbered."""
        return bool(self.values) and all(said.isdecimal() and len(said) <= 3 for said in self.values)

    def within(self, low: float, high: float) -> bool:
        """Return whether most rows hold a number and every number lies between the two."""
        return (
            self.numeric >= 0.8 and bool(self.numbers) and low <= self.numbers[0] and self.numbers[-1] <= high
        )
