"""Keeps what pages ask for first at hand while a station is served: after lines came in, before somebody looks."""

from __future__ import annotations

import gc
from typing import cast

from django.template import engines
from django.template.backends.jinja2 import Jinja2

from haulbook.station import clock
from haulbook.station.models import Settings
from haulbook.station.pages import bed
from haulbook.station.store import aside, readings, standings


def begin() -> None:
    """Begin to keep readings fresh in this process."""
    aside.keep_fresh(readings.newest, make)


def make() -> None:
    """Make anew what lines that came in have touched, as far as pages ask for it first."""
    if not Settings.objects.exists():
        return
    for _outing in readings.freshen():
        pass
    standings.standings(clock.now())
    readings.chains()
    bed.seen("", "", "", every=False)
    if not gc.get_freeze_count():  # once in a process
        templates = cast("Jinja2", engines["jinja2"]).env
        for name in templates.list_templates(extensions=["html"]):
            templates.get_template(name)  # compiled now, not before somebody's eyes
        # Readings stay, a million objects in a large station. Going through all of them for garbage, now and then,
        # took some page 0.4 s; what is replaced later is let go of by its count all the same.
        gc.collect()
        gc.freeze()
