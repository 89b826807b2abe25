"""A tide station: constants of its own, or differences against another station's highs and lows."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from haulbook.problems import Refusal


@dataclass(frozen=True, slots=True)
class Constant:
    """Amplitude and phase of one constituent at one place.

    Attributes
    ----------
    name : str
        A name of ``constituents.NAMES``.
    amplitude_m : float
        Metres, not negative.
    phase_deg : float
        Degrees, Greenwich ("phase (GMT)").
    """

    name: str
    amplitude_m: float
    phase_deg: float


@dataclass(frozen=True, slots=True)
class Differences:
    """How highs and lows at one place follow from those at another.

    Height there = height here above mean lower low water x factor + add. The agency publishes either factors
    (ratios) or metres to add, with its own minutes for high and for low.

    Attributes
    ----------
    minutes_high, minutes_low : float
        Added to the time of each high and each low; positive is later.
    factor_high, factor_low : float
        Positive.
    add_high_m, add_low_m : float
        Metres.
    """

    minutes_high: float = 0.0
    minutes_low: float = 0.0
    factor_high: float = 1.0
    factor_low: float = 1.0
    add_high_m: float = 0.0
    add_low_m: float = 0.0

    @property
    def is_uniform(self) -> bool:
        """Whether highs and lows are treated alike, so that the whole curve can be moved as one."""
        return (
            self.minutes_high == self.minutes_low
            and self.factor_high == self.factor_low
            and self.add_high_m == self.add_low_m
        )


@dataclass(frozen=True, slots=True)
class SiteOffset:
    """What somebody saw at a site against the station's prediction.

    Attributes
    ----------
    minutes_high, minutes_low : float
        Later than at the station, each within 6 hours.
    ratio : float
        Factor on heights above mean lower low water, within 0.1 to 5.
    add_m : float
        Metres added after the ratio, within 5.
    observed_by : str
        A person's key.
    observed : datetime.date or None
        When.
    """

    minutes_high: float = 0.0
    minutes_low: float = 0.0
    ratio: float = 1.0
    add_m: float = 0.0
    observed_by: str = ""
    observed: date | None = None

    def __post_init__(self) -> None:
        if not (abs(self.minutes_high) <= 360 and abs(self.minutes_low) <= 360):
            raise Refusal(
                "a site's tide differs by at most 360 minutes from its station; choose a nearer station"
            )
        if not 0.1 <= self.ratio <= 5:
            raise Refusal(f"a site's ratio of heights lies between 0.1 and 5, not at {self.ratio:g}")
        if not abs(self.add_m) <= 5:
            raise Refusal(f"a site's added height lies within 5 m, not at {self.add_m:g} m")
        if self.changes_anything and not self.observed_by:
            raise Refusal("an offset for a site needs to say who observed it (and better also when)")

    @property
    def changes_anything(self) -> bool:
        """Whether the offset differs from none."""
        return (self.minutes_high, self.minutes_low, self.ratio, self.add_m) != (0, 0, 1, 0)

    @property
    def differences(self) -> Differences:
        """The same as differences of highs and lows."""
        return Differences(
            self.minutes_high, self.minutes_low, self.ratio, self.ratio, self.add_m, self.add_m
        )

    def __str__(self) -> str:
        seen = f", {self.observed.day} {self.observed:%B %Y}" if self.observed else ", date not said"
        return (
            f"high {self.minutes_high:+g} min, low {self.minutes_low:+g} min, height x {self.ratio:g} "
            f"{self.add_m:+.2f} m; observed by {self.observed_by or 'nobody named'}{seen}"
        )


@dataclass(frozen=True, slots=True)
class Vintage:
    """Where constants come from and of which day they are: the agency revises them, by centimetres.

    Attributes
    ----------
    source : str
        Who published them.
    taken : str
        Version or date of what was taken, as the source writes it.
    """

    source: str
    taken: str

    def __str__(self) -> str:
        return f"{self.source}, as of {self.taken}"


@dataclass(frozen=True, slots=True)
class Station:
    """A place with a predicted tide.

    Attributes
    ----------
    id : str
        The agency's number, or a name of your own.
    name : str
        Official name; empty where only number and position are kept.
    latitude, longitude : float
        Degrees, north and east positive.
    zone : str
        IANA time zone.
    constants : tuple of Constant
        Empty for a subordinate station.
    mean_level_m : float or None
        Mean sea level above mean lower low water. None: the agency gives no such datum.
    vintage : Vintage
        Of the constants.
    epoch : tuple of int or None
        First and last year of the record that the constants stand on.
    lowest_m, highest_m : float or None
        Lowest and highest astronomical tide above mean lower low water.
    unused_m : float
        Sum of the amplitudes of published constituents outside the 37, which the engine leaves out.
    reference : str or None
        For a subordinate station, the id of its reference station.
    differences : Differences or None
        For a subordinate station, against the reference.
    """

    id: str
    name: str
    latitude: float
    longitude: float
    zone: str
    constants: tuple[Constant, ...]
    mean_level_m: float | None
    vintage: Vintage
    epoch: tuple[int, int] | None = None
    lowest_m: float | None = None
    highest_m: float | None = None
    unused_m: float = 0.0
    reference: str | None = None
    differences: Differences | None = None

    @property
    def is_subordinate(self) -> bool:
        """Whether only highs and lows are published, by differences against a reference station."""
        return self.reference is not None

    @property
    def title(self) -> str:
        """Number, name and position, on one line."""
        north = f"{abs(self.latitude):.4f} {'N' if self.latitude >= 0 else 'S'}"
        east = f"{abs(self.longitude):.4f} {'E' if self.longitude >= 0 else 'W'}"
        return f"{self.id} {self.name} ({north}, {east})" if self.name else f"{self.id} ({north}, {east})"
