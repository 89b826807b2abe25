"""Heights at equal steps: as predicted, or drawn and said to be."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from haulbook.problems import Refusal
from haulbook.tide.clock import check_order
from haulbook.tide.prediction import check_years
from haulbook.tide.water import Water

MOST_VALUES = 1_100_000
"""Two years in steps of a minute."""

DRAWN_STEP = timedelta(minutes=5)


def series(
    water: Water, start: datetime, end: datetime, step_min: float, zone: ZoneInfo
) -> list[tuple[datetime, float]]:
    """Return instants in UTC and heights in metres above MLLW from start to end, included where a step fits.

    Predicted heights come to the millimetre. A drawn curve comes to the centimetre, at whole 5 minutes.

    Parameters
    ----------
    water : Water
        The tide.
    start, end : datetime
        Aware.
    step_min : float
        Minutes between heights; at a drawn curve a multiple of 5.
    zone : ZoneInfo
        For the words of a refusal.

    Raises
    ------
    Refusal
        The end is not after the start, a year outside trust, a step that is too short.
    """
    check_order(start, end, zone)
    check_years(start.astimezone(zone).date(), (end - timedelta(microseconds=1)).astimezone(zone).date())
    if not 1 / 60 <= step_min <= 366 * 1440:
        raise Refusal("the step has to lie between 1 second and a year, in minutes")
    step = timedelta(minutes=step_min)
    if water.interpolated:
        if step % DRAWN_STEP:
            raise Refusal("a drawn curve is given at whole 5 minutes: make the step a multiple of 5")
        start = _up_to_step(start)
    count = (end - start) // step + 1
    if count > MOST_VALUES:
        raise Refusal(f"that would be {count:,} heights; take a longer step or a shorter stretch")
    values = water.grid(start.timestamp(), step.total_seconds(), max(0, count))
    digits = 2 if water.interpolated else 3
    begin = start.astimezone(UTC)
    return [
        (begin + index * step, round(height, digits) + 0.0) for index, height in enumerate(values.tolist())
    ]


def _up_to_step(at: datetime) -> datetime:
    seconds = DRAWN_STEP.total_seconds()
    return datetime.fromtimestamp(-(-at.timestamp() // seconds) * seconds, UTC)
