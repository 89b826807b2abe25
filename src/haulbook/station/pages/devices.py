"""Phones and tablets of the station: who has one, when it was heard of, inviting one, turning one away."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any
from urllib.parse import urlsplit

import segno
from django import forms
from django.conf import settings
from django.contrib import messages
from django.db.models import Count, Max
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as later
from markupsafe import Markup

from haulbook.station.models import Device, EntryRow, Person
from haulbook.station.people import devices as known
from haulbook.station.people.roles import LEAD
from haulbook.station.web.route import route, signed_in

_CODE = "device_code"
CLOCK_OFF_S = 120.0
"""From so many seconds on a clock is a discrepancy (docs/reference/book.md)."""
_LOOPBACK = ("localhost", "127.0.0.1", "::1")


@dataclass(frozen=True, slots=True)
class Line:
    """A device in the list. ``missing``: numbers before its last that did not come in; it may still hold them."""

    device: Device
    received: int
    missing: int

    @property
    def minutes_off(self) -> int | None:
        """Whole minutes by which its clock is ahead, where that is more than it should be."""
        off = self.device.clock_off_s
        return None if off is None or abs(off) < CLOCK_OFF_S else round(off / 60)


class Invite(forms.Form):
    """Which phone is to be enrolled."""

    label = forms.CharField(
        label=later("Which phone"),
        max_length=80,
        help_text=later("As you would call it, so that you find it when it is lost: the orange one."),
    )
    person = forms.ModelChoiceField(
        label=later("Who writes with it"),
        queryset=Person.objects.none(),
        required=False,
        empty_label=later("several people: it asks"),
    )

    def __init__(self, *words: Any) -> None:
        super().__init__(*words)
        field = self.fields["person"]
        field.queryset = Person.objects.order_by("key")  # type: ignore[attr-defined]
        field.label_from_instance = lambda person: person.display  # type: ignore[attr-defined]


def devices(request: HttpRequest) -> HttpResponse:
    """List the devices, show the code of a new one once, or make one."""
    person = signed_in(request)
    form = Invite(request.POST or None)
    if request.method == "POST" and form.is_valid():
        said = form.cleaned_data
        code = known.invite(said["person"], said["label"], person.key)
        request.session[_CODE] = {"code": code, "label": said["label"]}
        return redirect("devices")
    made = request.session.pop(_CODE, None) if request.method == "GET" else None
    lines = _lines()
    return render(
        request,
        "devices/devices.html",
        {
            "here": "station",
            "form": form,
            "lines": [line for line in lines if line.device.revoked_at is None],
            "away": [line for line in lines if line.device.revoked_at is not None],
            "invitation": _invitation(request, made) if made else None,
        },
        status=400 if form.errors else 200,
    )


def again(request: HttpRequest, key: str) -> HttpResponse:
    """Invite a device that was turned away to come back under its key."""
    device = _device(key)
    code = known.invite(device.person, device.label, signed_in(request).key, device=device.key)
    request.session[_CODE] = {"code": code, "label": device.label}
    return redirect("devices")


def revoke(request: HttpRequest, key: str) -> HttpResponse:
    """Turn a device away from now on."""
    device = _device(key)
    if device.revoked_at is None:
        known.revoke(device)
    words = _("{device} is turned away. What it sent stays; what it still holds comes in by a saved copy.")
    messages.success(request, words.format(device=device.key))
    return redirect("devices")


def _device(key: str) -> Device:
    found = Device.objects.select_related("person").filter(key=key).first()
    if found is None:
        raise Http404(_("There is no device {device}.").format(device=key))
    return found


def _lines() -> list[Line]:
    """Return every device with what came in of it: two queries."""
    counted = (
        EntryRow.objects.order_by().values("device").annotate(n=Count("seq", distinct=True), last=Max("seq"))
    )
    written = {row["device"]: (row["n"], row["last"] or 0) for row in counted}
    rows = Device.objects.select_related("person").order_by("enrolled_at", "pk")
    found = [(one, *written.get(one.key, (0, 0))) for one in rows]
    return [Line(one, n, last - n) for one, n, last in found]


def _invitation(request: HttpRequest, made: dict[str, str]) -> dict[str, Any]:
    at = address_for_phones(request)
    link = f"{at}/shore/#enrol={made['code']}"
    drawn = segno.make(link, error="m").svg_inline(
        omitsize=True, border=2, dark="#000", light=None, title=_("Code to point a phone's camera at")
    )
    return {
        "code": made["code"],
        "label": made["label"],
        "at": f"{at}/shore/",
        "link": link,
        "drawn": Markup(drawn),  # noqa: S704 - drawn here, from a code of ours and an address that was checked
        "only_here": urlsplit(at).hostname in _LOOPBACK,
        "plain": at.startswith("http://") and urlsplit(at).hostname not in _LOOPBACK,
    }


def address_for_phones(request: HttpRequest) -> str:
    """Return the address at which phones find the station: the one asked at, or another than this machine's own."""
    asked = f"{request.scheme}://{request.get_host()}"
    if urlsplit(asked).hostname not in _LOOPBACK:
        return asked
    others = [one for one in settings.CSRF_TRUSTED_ORIGINS if urlsplit(one).hostname not in _LOOPBACK]
    return others[0] if others else asked


ROUTES = [
    route("devices/", devices, "devices", get=LEAD, post=LEAD),
    route("devices/<str:key>/again/", again, "device-again", post=LEAD),
    route("devices/<str:key>/revoke/", revoke, "device-revoke", post=LEAD),
]
