"""The one place that reads the clock for a command."""

from __future__ import annotations

from datetime import UTC, datetime


def now() -> datetime:
    """Return this instant in the machine's own zone."""
    return datetime.now(UTC).astimezone()
