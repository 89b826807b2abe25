"""The station: its name and units, its people and accounts, its sites and tanks; each with its history."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import available_timezones

from django import forms
from django.contrib import messages
from django.db import models
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as later

from haulbook.problems import Refusal, unknown
from haulbook.station.models import Change, EntryRow, Person, Site, Tank
from haulbook.station.pages.things_forms import KINDS, Kind, kind_of
from haulbook.station.people import accounts, one_time
from haulbook.station.people.roles import LEAD, SIGNED_IN, Role
from haulbook.station.store.reference import history, keep, settings
from haulbook.station.web.route import person_of, route, signed_in
from haulbook.tide import load_catalog


class SettingsForm(forms.Form):
    """The station itself."""

    name = forms.CharField(label=later("Name of the station"), max_length=200)
    zone = forms.CharField(label=later("Time zone"), max_length=64)
    feet = forms.BooleanField(label=later("Show feet"), required=False)
    fahrenheit = forms.BooleanField(label=later("Show degrees Fahrenheit"), required=False)
    public = forms.BooleanField(
        label=later("Open the public page"),
        required=False,
        help_text=later(
            "Shows what the bed gave, without an account; positions no finer than each site allows."
        ),
    )

    def clean_zone(self) -> str:
        """Take a zone that there is."""
        zone = str(self.cleaned_data["zone"])
        if zone not in available_timezones():
            raise forms.ValidationError(unknown("time zone", zone, available_timezones()))
        return zone


class AccountForm(forms.Form):
    """What a person may do here, and how they sign in."""

    login = forms.CharField(label=later("Login"), max_length=80)
    access = forms.ChoiceField(label=later("May do"), choices=[(role.value, role.value) for role in Role])


def overview(request: HttpRequest) -> HttpResponse:
    """Show everything that stays."""
    own = settings()
    lead = _is_lead(request)
    return render(
        request,
        "things/station.html",
        {
            "here": "station",
            "own": own,
            "people": Person.objects.order_by("key"),
            "sites": Site.objects.order_by("key"),
            "tanks": Tank.objects.order_by("key"),
            "changes": history("settings", "station")[:10],
            "may": lead,
            "entries": EntryRow.objects.count(),
        },
    )


def own_settings(request: HttpRequest) -> HttpResponse:
    """Change the station's name, zone, units, and whether it has a public page."""
    own = settings()
    names = list(SettingsForm.base_fields)
    form = SettingsForm(request.POST or None, initial={name: getattr(own, name) for name in names})
    if request.method == "POST" and form.is_valid():
        for name in names:
            setattr(own, name, form.cleaned_data[name])
        keep(own, signed_in(request).key)
        messages.success(request, _("Kept."))
        return redirect("station")
    return _form_page(request, form, _("The station"), "station", history("settings", "station"))


def thing(request: HttpRequest, what: str, key: str) -> HttpResponse:
    """Show or change one thing."""
    kind = kind_of(what)
    row = kind.model._default_manager.filter(key=key).first()
    if row is None:
        raise Http404(_("There is no %(what)s %(key)s.") % {"what": what, "key": key})
    form = kind.form(request.POST or None, initial=kind.said(row), fixed=key)
    if request.method == "POST" and _kept(request, kind, row, form):
        return redirect(kind.page)
    title = f"{kind.one} {key}"
    more = (
        {"person": row, "account": _account_form(row)}
        if isinstance(row, Person) and _is_lead(request)
        else {}
    )
    if isinstance(row, Site):
        more["near"] = load_catalog().near(row.lat, row.lon, most=5)
    return _form_page(request, form, title, kind.page, history(what, key), kind, **more)


def new_thing(request: HttpRequest, what: str) -> HttpResponse:
    """Add one thing."""
    kind = kind_of(what)
    form = kind.form(request.POST or None, initial=_begun(kind))
    if request.method == "POST":
        form.full_clean()
        key = form.data.get("key", "")
        if kind.model._default_manager.filter(key=key).exists():
            form.add_error("key", _("%(key)s is taken; choose another.") % {"key": key})
        elif _kept(request, kind, kind.model(key=key), form):
            return redirect(kind.page)
    return _form_page(request, form, str(kind.new), kind.page, None, kind)


def _begun(kind: Kind) -> dict[str, Any]:
    if kind.model is Person:
        return {"key": accounts.next_key()}
    if kind.model is Site:
        return {"zone": settings().zone, "depth_least_m": 0.3, "depth_most_m": 1.0, "ratio": 1.0}
    return {}


def _kept(request: HttpRequest, kind: Kind, row: models.Model, form: Any) -> bool:
    if not form.is_valid():
        return False
    form.read(kind.what)
    if form.errors:
        return False
    kind.put(row, form)
    keep(row, signed_in(request).key)
    messages.success(request, _("Kept."))
    return True


def _form_page(
    request: HttpRequest,
    form: forms.Form,
    title: str,
    back: str,
    changes: Any,
    kind: Kind | None = None,
    **more: Any,
) -> HttpResponse:
    return render(
        request,
        "things/form.html",
        {
            "here": back if back in ("station", "gear") else "station",
            "form": form,
            "title_words": title,
            "back": reverse(back),
            "changes": [_told(change, form) for change in changes[:30]] if changes is not None else [],
            "units": kind.units if kind else {},
            "may": _is_lead(request),
            **{"person": None, "account": None, "near": (), "link": None, **more},
        },
        status=400 if form.errors else 200,
    )


@dataclass(frozen=True, slots=True)
class Told:
    """One change in words: what each thing was, and what it became. Empty where something was added."""

    at: datetime
    by: str
    differences: tuple[tuple[str, str, str], ...]


def _told(change: Change, form: forms.Form) -> Told:
    before, after = dict(change.before or {}), dict(change.after or {})
    for side in (before, after):  # the tide's parts are fields of their own
        tide = side.pop("tide", None) or {}
        side |= {"tide_station": tide.pop("station", ""), **tide} if tide else {}
    if not change.before:
        return Told(change.at, change.by, ())
    names = [name for name in dict.fromkeys((*before, *after)) if before.get(name) != after.get(name)]
    return Told(
        change.at,
        change.by,
        tuple((_label(name, form), _plain(before.get(name)), _plain(after.get(name))) for name in names),
    )


def _label(name: str, form: forms.Form) -> str:
    known = {
        "lat": _("Latitude"),
        "lon": _("Longitude"),
        "is_active": _("in use"),
        "login": _("Login"),
        "access": _("May do"),
    }
    return known.get(name) or str(form.fields[name].label if name in form.fields else name)


def _plain(value: object) -> str:
    if value is None or value == "" or value == []:
        return "·"
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    return _("%(n)s points") % {"n": len(value)} if isinstance(value, list) else str(value)


def _is_lead(request: HttpRequest) -> bool:
    person = person_of(request)
    return person is not None and person.access == Role.LEAD


def _account_form(row: Person, data: Any = None) -> AccountForm:
    return AccountForm(
        data, initial={"login": row.login or row.key, "access": row.access or Role.VIEWER}, prefix="account"
    )


def account(request: HttpRequest, key: str) -> HttpResponse:
    """Open or change somebody's account, close it, or make a link that lets them in once."""
    row = Person.objects.filter(key=key).first()
    if row is None:
        raise Http404(_("There is no person %(key)s.") % {"key": key})
    by = signed_in(request)
    act = request.POST.get("act", "open")
    if act == "close":
        _refuse_last_lead(row)
        row.access = ""
        keep(row, by.key)
        messages.success(
            request, _("The account of %(key)s is closed; what they wrote stays.") % {"key": key}
        )
        return redirect("thing", what="person", key=key)
    form = _account_form(row, request.POST)
    link = None
    if form.is_valid():
        try:
            if row.access == Role.LEAD and form.cleaned_data["access"] != Role.LEAD:
                _refuse_last_lead(row)
            accounts.open_account(row, form.cleaned_data["login"], form.cleaned_data["access"], None, by.key)
            code = one_time.make(one_time.SIGN_IN, person=row, by=by.key)
            link = request.build_absolute_uri(reverse("enter", kwargs={"code": code}))
        except Refusal as refusal:
            form.add_error(None, str(refusal))
    kind = KINDS["person"]
    page = kind.form(initial=kind.said(row), fixed=key)
    return _form_page(
        request,
        page,
        f"{kind.one} {key}",
        "station",
        history("person", key),
        kind,
        person=row,
        account=form,
        link=link,
    )


def _refuse_last_lead(row: Person) -> None:
    others = Person.objects.filter(access=Role.LEAD, is_active=True).exclude(pk=row.pk)
    if row.access == Role.LEAD and not others.exists():
        raise Refusal(
            _("%(key)s is the only lead with an account; open another lead's first.") % {"key": row.key}
        )


ROUTES = [
    route("station/", overview, "station", get=SIGNED_IN),
    route("station/settings/", own_settings, "settings", get=LEAD, post=LEAD),
    route("station/add/<str:what>/", new_thing, "new-thing", get=LEAD, post=LEAD),
    route("station/person/<str:key>/account/", account, "account", post=LEAD),
    route("station/<str:what>/<str:key>/", thing, "thing", get=SIGNED_IN, post=LEAD),
]
