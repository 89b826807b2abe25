"""What the hauls say about catch per area, and how sure that is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

WIDEST_RATIO = 100.0
"""Limits are printed only while upper / lower stays at or below this (rule of this project)."""

Method = Literal[
    "none",
    "nothing caught",
    "one haul, exact Poisson",
    "ratio of means, log-t",
    "ratio of means, exact Poisson",
]


@dataclass(frozen=True, slots=True)
class HaulRow:
    """One haul, as far as catch per area of one taxon needs it.

    Attributes
    ----------
    label : str
        What a person calls the haul.
    count : int or None
        Animals of the taxon, 0 when looked for and none; None when not looked for (or seen, not counted).
    area_m2 : float or None
        Swept area; None where there is none.
    eligible : bool
        Counts for density (condition 1 or 2, no path hauled before).
    why_not : str or None
        Why not, in words.
    net, set_type : str or None
        Only hauls of one net and set type are put together.
    light, tide : str or None
        Day, dusk or night; stage of the tide. They part hauls where known.
    flagged : bool
        Condition 2: counted, and said.
    area_assumed : bool
        A length in the area was not measured.
    estimated : bool
        The count holds expanded or judged animals.
    """

    label: str
    count: int | None
    area_m2: float | None
    eligible: bool = True
    why_not: str | None = None
    net: str | None = None
    set_type: str | None = None
    light: str | None = None
    tide: str | None = None
    flagged: bool = False
    area_assumed: bool = False
    estimated: bool = False


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A haul that did not enter, and why."""

    label: str
    why: str


@dataclass(frozen=True, slots=True)
class HaulDensity:
    """Catch per 100 m² of a single haul."""

    label: str
    per_100_m2: float


@dataclass(frozen=True, slots=True)
class Estimate:
    """Catch per 100 m² swept: a least figure, never corrected for what slipped under the net.

    Attributes
    ----------
    per_100_m2 : float or None
        All animals over all area; None without a valid haul.
    low, high : float or None
        95 % limits, always in the data; shown only where `limits_shown`. After a catch of nothing ``low`` is
        0 and ``high`` the one-sided bound for animals in patches.
    high_if_scattered : float or None
        After a catch of nothing: the same bound if animals were scattered independently.
    mean_of_hauls_per_100_m2 : float or None
        The other mean: every haul weighs alike. Beside the estimate for comparison, under its own name.
    n_hauls, n_positive : int
    method : Method
    warnings : tuple of str
    hauls : tuple of HaulDensity
        Every haul that entered.
    left_out : tuple of LeftOut
        Every haul that did not.
    """

    per_100_m2: float | None
    low: float | None
    high: float | None
    n_hauls: int
    n_positive: int
    method: Method
    warnings: tuple[str, ...] = ()
    hauls: tuple[HaulDensity, ...] = ()
    left_out: tuple[LeftOut, ...] = ()
    high_if_scattered: float | None = None
    mean_of_hauls_per_100_m2: float | None = None

    @property
    def limits_shown(self) -> bool:
        """Whether the limits tell a reader anything: upper / lower at most 100, or a catch of nothing."""
        if self.low is None or self.high is None:
            return False
        return self.method == "nothing caught" or 0 < self.high <= WIDEST_RATIO * self.low


def figure(value: float) -> str:
    """Return a number as printed: two significant digits, whole from 10 up, no exponent."""
    if value == 0:
        return "0"
    if value >= 10:
        return f"{float(f'{value:.2g}') if value < 100 else round(value):.0f}"
    text = f"{float(f'{value:.2g}'):.6f}".rstrip("0").rstrip(".")
    return text or "0"


def in_figures(estimate: Estimate) -> str:
    """Return the estimate as a cell: ``4.7 (1.3 to 17)``, ``0 (under 1.4)``, ``3.6 (too few)``."""
    if estimate.per_100_m2 is None:
        return "no valid haul"
    if estimate.method == "nothing caught" and estimate.high is not None:
        return f"0 (under {figure(estimate.high)})"
    if not estimate.limits_shown or estimate.low is None or estimate.high is None:
        return f"{figure(estimate.per_100_m2)} (too few)"
    return f"{figure(estimate.per_100_m2)} ({figure(estimate.low)} to {figure(estimate.high)})"


def in_words(estimate: Estimate) -> str:
    """Return the estimate as a sentence that says how sure it is."""
    if estimate.per_100_m2 is None:
        return "No valid haul, so no catch per area."
    hauls = "1 haul" if estimate.n_hauls == 1 else f"{estimate.n_hauls} hauls"
    if estimate.method == "nothing caught":
        patchy, scattered = estimate.high or 0.0, estimate.high_if_scattered or 0.0
        return (
            f"None in {hauls}. They leave room for up to {figure(patchy)} per 100 m² if the animals live in "
            f"patches ({figure(scattered)} if scattered). Not seen is not absent."
        )
    start = f"{figure(estimate.per_100_m2)} per 100 m² swept, from {hauls}"
    if not estimate.limits_shown:
        return f"{start}: too few hauls for an interval."
    return f"{start}; 95 % interval {figure(estimate.low or 0.0)} to {figure(estimate.high or 0.0)}."
