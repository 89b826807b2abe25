"""Sun and moon at a place on a day; also where the sun does not rise or does not set.

Sunrise and sunset: upper limb on a flat sea horizon, centre 50' below; civil twilight: centre 6 degrees below
(US Naval Observatory definitions). Computed with astral; within about a minute of the Naval Observatory's
tables. Bluffs and fog take more.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import Literal
from zoneinfo import ZoneInfo

from astral import Observer, SunDirection, moon, sun

from haulbook.problems import Refusal
from haulbook.tide.clock import check_position

_HORIZON, _CIVIL = 90.0 + 50 / 60, 96.0
FIRST_YEAR, LAST_YEAR = 1901, 2099
"""Years that the low-order solar series behind astral are meant for (NOAA solar calculator: 1901 to 2099)."""

_HALF_DAY = timedelta(hours=12, minutes=30)
_PHASES = (
    "new moon",
    "waxing crescent",
    "first quarter",
    "waxing gibbous",
    "full moon",
    "waning gibbous",
    "last quarter",
    "waning crescent",
)

Light = Literal["sun", "civil"]


@dataclass(frozen=True, slots=True)
class Daylight:
    """The light around one solar noon; instants in UTC.

    Attributes
    ----------
    dawn, dusk : datetime or None
        Civil twilight begins and ends. None: the sun does not pass 6 degrees below the horizon on that side.
    sunrise, sunset : datetime or None
        None: the sun does not pass the horizon on that side of noon.
    noon : datetime
        When the sun stands highest.
    moon_phase : str
        One of eight, from "new moon" to "waning crescent".
    up_at_noon, light_at_noon : bool
        Whether the sun is above the horizon at noon; whether there is at least civil twilight.
    """

    dawn: datetime | None
    sunrise: datetime | None
    noon: datetime
    sunset: datetime | None
    dusk: datetime | None
    moon_phase: str
    up_at_noon: bool
    light_at_noon: bool

    @property
    def words(self) -> str | None:
        """What is out of the ordinary, or None."""
        if self.sunrise and self.sunset:
            return None
        if not self.up_at_noon:
            return "the sun does not rise on this day"
        if not self.sunrise and not self.sunset:
            return "the sun does not set on this day"
        return "the sun passes the horizon only once on this day"

    def span(self, light: Light = "sun") -> tuple[datetime, datetime] | None:
        """Return from when to when there is light: half a day on a side where it stays; None: dark."""
        begin, end = (self.sunrise, self.sunset) if light == "sun" else (self.dawn, self.dusk)
        if not (self.up_at_noon if light == "sun" else self.light_at_noon):
            return None
        half = timedelta(hours=12)
        return begin or self.noon - half, end or self.noon + half


def daylight(latitude: float, longitude: float, day: date, zone: ZoneInfo) -> Daylight:
    """Return sun and moon for a local day: the light around the solar noon nearest to its 12:00.

    Parameters
    ----------
    latitude, longitude : float
        Degrees, north and east positive.
    day : datetime.date
        In ``zone``.
    zone : ZoneInfo
        Whose calendar the day is of.

    Raises
    ------
    Refusal
        The position is not on the globe, or the year not one that the series behind it are good for.
    """
    check_position(latitude, longitude)
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise Refusal(f"sun and moon are computed for {FIRST_YEAR} to {LAST_YEAR}, not for {day.year}")
    place = Observer(latitude, longitude)
    middle = datetime.combine(day, time(12), zone).astimezone(UTC)
    noon = min(
        (sun.noon(place, middle.date() + timedelta(days=shift)) for shift in (-1, 0, 1)),
        key=lambda at: abs(at - middle),
    )
    highest = sun.zenith(place, noon, with_refraction=False)
    rising, setting = SunDirection.RISING, SunDirection.SETTING
    return Daylight(
        dawn=_passes(place, noon, _CIVIL, rising),
        sunrise=_passes(place, noon, _HORIZON, rising),
        noon=noon,
        sunset=_passes(place, noon, _HORIZON, setting),
        dusk=_passes(place, noon, _CIVIL, setting),
        moon_phase=moon_phase(noon.date()),
        up_at_noon=highest <= _HORIZON,
        light_at_noon=highest <= _CIVIL,
    )


def moon_phase(day: date) -> str:
    """Return the moon's phase on a day (UTC) in words; a quarter is taken to last two days."""
    age = moon.phase(day)  # 0 new, 7 first quarter, 14 full, 21 last quarter
    quarter, rest = divmod(age + 1, 7)
    return _PHASES[int(2 * quarter + (rest > 2)) % 8]


def _passes(place: Observer, noon: datetime, zenith: float, direction: SunDirection) -> datetime | None:
    """When the sun's centre passes a zenith angle before (rising) or after (setting) this ``noon``."""
    sign = 1 if direction is SunDirection.SETTING else -1
    # astral answers for a date in UTC; which of three holds the event of this noon depends on longitude.
    for shift in (0, sign, -sign):
        try:
            at = sun.time_of_transit(
                place, noon.date() + timedelta(days=shift), zenith, direction, with_refraction=False
            )
        except ValueError:
            continue
        if timedelta() <= sign * (at - noon) <= _HALF_DAY:
            return at
    return _searched(place, noon, noon + sign * timedelta(hours=12), zenith)


def _searched(place: Observer, noon: datetime, midnight: datetime, zenith: float) -> datetime | None:
    """The same by halving: astral gives up on the days on which the sun only just passes an angle."""

    def stands_above(at: datetime) -> bool:
        return sun.zenith(place, at, with_refraction=False) <= zenith

    if stands_above(noon) == stands_above(midnight):
        return None
    above, below = (noon, midnight) if stands_above(noon) else (midnight, noon)
    while abs(above - below) > timedelta(seconds=1):
        middle = above + (below - above) / 2
        above, below = (middle, below) if stands_above(middle) else (above, middle)
    return above
