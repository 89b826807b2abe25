"""The station's clock: the only place here that reads it."""

from __future__ import annotations

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from django.conf import settings


def now() -> datetime:
    """Return this instant in UTC, or the one that ``HAULBOOK_NOW`` names for rehearsals and pictures."""
    fixed = getattr(settings, "HAULBOOK_NOW", None)
    return datetime.fromisoformat(fixed).astimezone(UTC) if fixed else datetime.now(UTC)


def instant(at: datetime, zone: str = "UTC") -> str:
    """Return an instant as entries write it: local with offset, to the second."""
    return at.astimezone(ZoneInfo(zone)).isoformat(timespec="seconds")
