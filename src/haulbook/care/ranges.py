"""Where a formula ends: values outside its range are refused together, each in one sentence."""

from __future__ import annotations

from dataclasses import dataclass

from haulbook.problems import Problem, Refusal


@dataclass(frozen=True, slots=True)
class Within:
    """A value and the closed range it has to lie in; NaN and infinity lie in none.

    Attributes
    ----------
    what : str
        The field's word for it, as it opens the sentence: ``"temperature"``.
    value, low, high : float
    unit : str
        With a leading space where one belongs: ``" °C"``; empty for numbers without a unit.
    why : str
        What the range comes from, closing the sentence.
    """

    what: str
    value: float
    low: float
    high: float
    unit: str = ""
    why: str = ""

    @property
    def holds(self) -> bool:
        """Whether the value lies in the range."""
        return self.low <= self.value <= self.high

    def sentence(self) -> str:
        """Return what is wrong and what would be right."""
        source = f" ({self.why})" if self.why else ""
        return (
            f"{self.what} {self.value:g}{self.unit} is outside {self.low:g} to {self.high:g}{self.unit}"
            f"{source}: check the number and its unit"
        )


def require(*ranges: Within) -> None:
    """Refuse all values that lie outside their range, together.

    Raises
    ------
    Refusal
        One problem for each value outside.
    """
    outside = [Problem("refused", each.sentence()) for each in ranges if not each.holds]
    if outside:
        raise Refusal(outside)
