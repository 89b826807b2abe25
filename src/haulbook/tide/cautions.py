"""What has to be said beside every prediction."""

from __future__ import annotations

from collections.abc import Mapping

from haulbook.tide.catalog import distance_km
from haulbook.tide.prediction import NO_OFFSET
from haulbook.tide.station import SiteOffset, Station

FAR_KM = 20.0
"""Beyond this distance between site and station a caution is given; common practice, no source."""

WEATHER = (
    "Predictions are not observations: wind, air pressure and rivers move the water by decimetres. "
    "Cold water, waves, soft mud and lightning stop an outing whatever the tide says."
)
NOT_CURRENT = (
    "How fast the height changes is not how fast the water runs: slack current can come well before or after "
    "low water."
)
DRAWN = (
    "The curve is interpolated by haulbook (a half-cosine between predicted highs and lows), not the "
    "agency's; its times are rounded to 5 minutes."
)
DIFFERENCES = (
    "Subordinate station: its highs and lows follow from those of the reference station by differences found "
    "in a short comparison."
)


def cautions(
    station: Station,
    stations: Mapping[str, Station],
    *,
    offset: SiteOffset = NO_OFFSET,
    site: tuple[float, float] | None = None,
    drawn: bool = False,
    rates: bool = False,
) -> tuple[str, ...]:
    """Return the sentences that belong beside a prediction, the weightiest first.

    Parameters
    ----------
    station : Station
        Whose tide it is.
    stations : mapping of str to Station
        Where a subordinate's reference is found.
    offset : SiteOffset
        What was observed at the site.
    site : tuple of float or None
        Latitude and longitude of the site, to say when it is far from the station.
    drawn : bool
        Heights between turns of an interpolated tide are shown.
    rates : bool
        Rates of change are shown.
    """
    own = stations[station.reference] if station.reference else station
    said = [WEATHER]
    if rates:
        said.append(NOT_CURRENT)
    if site is not None and (away := distance_km(*site, station)) > FAR_KM:
        said.append(
            f"The site is {away:.0f} km from station {station.title}: compare its tide with what you see "
            "there, and give the site an offset."
        )
    if drawn:
        said.append(DRAWN)
    if station.reference:
        said.append(f"{DIFFERENCES} Reference: {own.title}.")
    if offset.changes_anything:
        said.append(f"Moved to the site: {offset}.")
    if own.unused_m:
        said.append(
            f"The agency publishes further constituents for {own.title} that haulbook leaves out; together "
            f"they can move the height by up to {own.unused_m:.2f} m."
        )
    said.append(provenance(own))
    return tuple(said)


def provenance(station: Station) -> str:
    """Return one sentence on datum, station, source and vintage of a station with constants of its own."""
    epoch = f", epoch {station.epoch[0]}-{station.epoch[1]}" if station.epoch else ""
    return (
        f"Heights above mean lower low water. Constants of {station.title}: {station.vintage}{epoch}. "
        "Computed by haulbook, not official; not for navigation."
    )
