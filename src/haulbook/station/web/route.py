"""Routes: an address, what answers it, and for every method which roles may. A route without roles can't be made."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from contextlib import nullcontext
from functools import wraps
from typing import Any, Protocol, cast

from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect
from django.urls import URLPattern, path, reverse
from django.utils.http import urlencode

from haulbook.station.models import Device, Person
from haulbook.station.people import devices
from haulbook.station.people.roles import ANYONE, Role
from haulbook.station.store import aside
from haulbook.station.web.answers import NotAllowed, NotYours, json_problems

Answers = Callable[..., HttpResponseBase]
DEVICE = "device"
"""In place of roles: asked for a device's token instead of a session."""
Access = Mapping[str, frozenset[Role] | str]


class Routed(Protocol):
    """A view that says who may ask it what."""

    access: Access

    def __call__(self, request: HttpRequest, **words: Any) -> HttpResponseBase:
        """Answer a request."""


def route(
    address: str,
    view: Answers,
    name: str,
    *,
    get: frozenset[Role] | str | None = None,
    post: frozenset[Role] | str | None = None,
) -> URLPattern:
    """Return a route.

    Parameters
    ----------
    address : str
        As Django's ``path`` takes it.
    view : callable
    name : str
        Unique; ``url(name, ...)`` finds it.
    get, post : set of Role, ``ANYONE`` or ``DEVICE``
        Who may read, and who may change something. At least one; HEAD goes with GET.
    """
    access = {method: who for method, who in (("GET", get), ("POST", post)) if who is not None}
    if not access:
        raise ValueError(f"the route {name} says for nobody what they may do")

    @wraps(view)
    def guarded(request: HttpRequest, **words: Any) -> HttpResponseBase:
        method = "GET" if request.method == "HEAD" else str(request.method)
        who = access.get(method)
        if who is None:
            raise NotAllowed(method, tuple(access))
        if who == DEVICE:
            return _for_device(request, view, words)
        if who is not ANYONE and not _may(request, cast("frozenset[Role]", who)):
            if person_of(request) is None:
                return to_sign_in(request)
            raise NotYours(cast("frozenset[Role]", who))
        with aside.somebody_waits() if method == "GET" else nullcontext():
            return view(request, **words)

    guarded.access = access  # type: ignore[attr-defined]
    if DEVICE in access.values():
        guarded.csrf_exempt = True  # type: ignore[attr-defined]  # a token in a header is not sent by another site's form
    return path(address, guarded, name=name)


def person_of(request: HttpRequest) -> Person | None:
    """Return who is signed in."""
    return request.user if isinstance(request.user, Person) else None


def signed_in(request: HttpRequest) -> Person:
    """Return who is signed in, where a route asks for that."""
    person = person_of(request)
    if person is None:
        raise NotYours(frozenset(Role))
    return person


def _may(request: HttpRequest, who: frozenset[Role]) -> bool:
    person = person_of(request)
    return person is not None and person.access in who


def to_sign_in(request: HttpRequest) -> HttpResponse:
    """Send somebody without account to the sign-in page, and back to where they were."""
    back = {"next": request.get_full_path()} if request.method == "GET" else {}
    return redirect(f"{reverse('sign-in')}?{urlencode(back)}" if back else reverse("sign-in"))


def _for_device(request: HttpRequest, view: Answers, words: dict[str, Any]) -> HttpResponseBase:
    device = devices.of_request(request)
    if device is None:
        return json_problems(
            401, "this device is not enrolled here, or was turned away; its lines stay on it: enrol it anew"
        )
    request.device = device  # type: ignore[attr-defined]
    return view(request, **words)


def device_of(request: HttpRequest) -> Device:
    """Return the device that asks, on routes for devices."""
    return cast("Device", request.device)  # type: ignore[attr-defined]
