"""Every address of the station. Each page group lists its own."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from haulbook.station.pages import (
    bed,
    bring_in,
    devices,
    gear,
    kept,
    outing,
    outings,
    patterns,
    people,
    permits,
    pictures,
    plan,
    public,
    reports,
    search,
    season,
    shore,
    station_page,
    tank,
    transcribe,
    which_one,
)
from haulbook.station.pages import help as help_pages
from haulbook.station.people.roles import ANYONE, SIGNED_IN
from haulbook.station.web.jinja import TOKENS
from haulbook.station.web.route import route

GROUPS = (
    bed,
    bring_in,
    devices,
    gear,
    help_pages,
    kept,
    outing,
    outings,
    patterns,
    people,
    permits,
    pictures,
    plan,
    public,
    reports,
    search,
    season,
    shore,
    station_page,
    tank,
    transcribe,
    which_one,
)


def home(request: HttpRequest) -> HttpResponse:
    """Begin with the season."""
    return redirect("season")


def tokens(request: HttpRequest) -> HttpResponse:
    """Give the colours and voices that papers, station and phone share."""
    return HttpResponse(
        TOKENS.read_bytes(), content_type="text/css", headers={"Cache-Control": "max-age=3600"}
    )


urlpatterns = [
    route("static/tokens.css", tokens, "tokens", get=ANYONE),
    route("", home, "home", get=SIGNED_IN),
    *(one for group in GROUPS for one in group.ROUTES),
]
handler400 = "haulbook.station.web.answers.not_understood"
handler403 = "haulbook.station.web.answers.not_yours"
handler404 = "haulbook.station.web.answers.not_here"
handler500 = "haulbook.station.web.answers.went_wrong"
