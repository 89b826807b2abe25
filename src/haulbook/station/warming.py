"""Keeps what pages ask for first at hand while a station is served: after lines came in, before somebody looks."""

from __future__ import annotations

from haulbook.station import clock
from haulbook.station.models import Settings
from haulbook.station.pages import bed
from haulbook.station.store import aside, readings, standings


def begin() -> None:
    """Begin to keep readings fresh in this process."""
    aside.keep_fresh(readings.newest, _make)


def _make() -> None:
    if not Settings.objects.exists():
        return
    for _outing in readings.freshen():
        pass
    standings.standings(clock.now())
    readings.chains()
    bed.seen("", "", "", every=False)
