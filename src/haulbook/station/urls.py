"""Every address of the station. Each page group lists its own."""

from __future__ import annotations

from importlib import import_module

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from haulbook.station.pages import coming  # TEMPORARY, see coming.py
from haulbook.station.people.roles import ANYONE, SIGNED_IN
from haulbook.station.web.jinja import TOKENS
from haulbook.station.web.route import route

GROUPS = (
    "people",
    "season",
    "help",
    "search",
    "patterns",
    "devices",
    "shore",
    "transcribe",
    "bring_in",
    "outings",
    "outing",
    "plan",
    "plan_outing",
    "gear",
    "station_page",
    "permits",
    "reports",
    "kept",
    "tank",
    "which_one",
    "bed",
    "public",
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
    *(
        one
        for group in coming.there(GROUPS)
        for one in import_module(f"haulbook.station.pages.{group}").ROUTES
    ),
]
urlpatterns += coming.routes({one.name for one in urlpatterns})
handler400 = "haulbook.station.web.answers.not_understood"
handler403 = "haulbook.station.web.answers.not_yours"
handler404 = "haulbook.station.web.answers.not_here"
handler500 = "haulbook.station.web.answers.went_wrong"
