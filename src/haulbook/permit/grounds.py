"""What the station knows and a report asks: sites, nets, people, and the days that are reported."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from haulbook.custody.when import When
from haulbook.gear import Net
from haulbook.permit.model import Permit


@dataclass(frozen=True, slots=True)
class Spot:
    """A site as reports name it."""

    name: str
    lat: float | None = None
    lon: float | None = None
    water_body: str | None = None
    admin_area: str | None = None
    agency_area_code: str | None = None
    uncertainty_m: float | None = None
    position_from: str | None = None


@dataclass(frozen=True, slots=True)
class Grounds:
    """What the station knows and a report asks: sites and nets by key, people on the beach by outing."""

    sites: Mapping[str, Spot] = field(default_factory=dict)
    nets: Mapping[str, Net] = field(default_factory=dict)
    people_present: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Span:
    """The days a report covers, both included, local to the permit's zone."""

    first: date
    last: date

    def holds(self, when: When, permit: Permit) -> bool:
        """Whether something can have happened within the span."""
        first, last = when.days_in(permit.tz)
        return first <= self.last and last >= self.first
