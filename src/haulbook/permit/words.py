"""Dates and spans in words, the same wherever this room speaks."""

from __future__ import annotations

from datetime import date, datetime, timedelta


def day_words(day: date) -> str:
    """Return a day as 14 May 2027."""
    return f"{day.day} {day:%B %Y}"


def moment_words(at: datetime) -> str:
    """Return an instant as 14 May 2027 05:42, in its own zone."""
    return f"{day_words(at)} {at:%H:%M}"


def span_words(span: timedelta) -> str:
    """Return an elapsed time as 23 h 10 min."""
    minutes = int(span.total_seconds()) // 60
    return f"{minutes // 60} h {minutes % 60:02d} min"
