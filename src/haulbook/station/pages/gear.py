"""Instruments and gear: nets, meters and what their readings hang on; cleaning where a permit asks for it."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from haulbook.office.gear_page import cleanings, used_last
from haulbook.station import clock
from haulbook.station.models import Instrument, Net
from haulbook.station.people.roles import SIGNED_IN
from haulbook.station.store import permits, readings
from haulbook.station.web.route import person_of, route


def gear(request: HttpRequest) -> HttpResponse:
    """Show nets and instruments, where each net was last, and what a permit asks before the next site."""
    nets = list(Net.objects.order_by("retired", "key"))
    uses = used_last(readings.briefs(), {net.key for net in nets})
    person = person_of(request)
    return render(
        request,
        "things/gear.html",
        {
            "here": "gear",
            "nets": [(net, uses.get(net.key)) for net in nets],
            "instruments": Instrument.objects.order_by("retired", "key"),
            "cleanings": cleanings(permits.permits(), clock.now()),
            "may": person is not None and person.access == "lead",
        },
    )


ROUTES = [route("gear/", gear, "gear", get=SIGNED_IN)]
