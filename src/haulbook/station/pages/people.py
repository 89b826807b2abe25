"""Coming in and going out: first set-up, signing in, one-time links, passwords, the theme."""

from __future__ import annotations

from zoneinfo import available_timezones

from django import forms
from django.contrib import messages
from django.contrib.auth import authenticate, login, logout, update_session_auth_hash
from django.contrib.auth.hashers import make_password
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as later

from haulbook.problems import Refusal
from haulbook.station.models import Person, Settings
from haulbook.station.people import accounts, one_time
from haulbook.station.people.roles import ANYONE, SIGNED_IN, Role
from haulbook.station.store.reference import keep
from haulbook.station.web.answers import SlowDown
from haulbook.station.web.jinja import THEMES
from haulbook.station.web.route import person_of, route, signed_in
from haulbook.taxa import PACKS

_BACKEND = "haulbook.station.people.accounts.ByLogin"
_LOOPBACK = ("127.0.0.1", "::1", "")


class SignIn(forms.Form):
    """Login and password."""

    login = forms.CharField(label=later("Login"), max_length=80)
    password = forms.CharField(label=later("Password"), widget=forms.PasswordInput)


class SetUp(forms.Form):
    """What a new station needs: its name, its animals, its zone, and the first account."""

    name = forms.CharField(label=later("Name of the station"), max_length=200)
    pack = forms.ChoiceField(
        label=later("Animals of"),
        choices=[
            ("nwatlantic", later("the Northwest Atlantic")),
            ("nepacific", later("the Northeast Pacific")),
        ],
    )
    zone = forms.CharField(
        label=later("Time zone"),
        max_length=64,
        help_text=later("As America/New_York; your sites may have others."),
    )
    login = forms.CharField(label=later("Your login"), max_length=80)
    password = forms.CharField(
        label=later("Your password"), widget=forms.PasswordInput, help_text=later("Ten characters or more.")
    )

    def clean_zone(self) -> str:
        """Take a zone that there is."""
        zone = str(self.cleaned_data["zone"])
        if zone not in available_timezones():
            raise ValidationError(_("There is no zone of that name; write one as America/New_York."))
        return zone

    def clean_pack(self) -> str:
        """Take a pack that there is."""
        pack = str(self.cleaned_data["pack"])
        if pack not in PACKS:
            raise ValidationError(_("There is no such pack."))
        return pack

    def clean_password(self) -> str:
        """Take a password that is not easily guessed."""
        validate_password(self.cleaned_data["password"])
        return str(self.cleaned_data["password"])


class NewPassword(forms.Form):
    """A new password, and the old one where there is one."""

    old = forms.CharField(label=later("Password until now"), widget=forms.PasswordInput, required=False)
    new = forms.CharField(
        label=later("New password"), widget=forms.PasswordInput, help_text=later("Ten characters or more.")
    )

    def __init__(self, person: Person, *words: object) -> None:
        super().__init__(*words)  # type: ignore[arg-type]
        self.person = person
        if not person.has_usable_password():
            del self.fields["old"]

    def clean_old(self) -> str:
        """Ask for the password until now."""
        if not self.person.check_password(self.cleaned_data["old"]):
            raise ValidationError(_("That is not the password until now."))
        return str(self.cleaned_data["old"])

    def clean_new(self) -> str:
        """Take a password that is not easily guessed."""
        validate_password(self.cleaned_data["new"], self.person)
        return str(self.cleaned_data["new"])


def sign_in(request: HttpRequest) -> HttpResponse:
    """Ask for login and password, or let somebody in."""
    if not Settings.objects.exists():
        return redirect("set-up-needed")
    form = SignIn(request.POST or None)
    address = request.META.get("REMOTE_ADDR", "")
    if request.method == "POST" and form.is_valid():
        name = form.cleaned_data["login"]
        if accounts.slowed(name, address):
            raise SlowDown(
                _("Too many tries. Wait a quarter of an hour, or ask the lead for a one-time link.")
            )
        person = authenticate(request, login=name, password=form.cleaned_data["password"])
        if isinstance(person, Person):
            accounts.welcome(name, address)
            login(request, person)
            return redirect(_back(request))
        accounts.missed(name, address)
        form.add_error(None, _("Login and password do not go together. Look at both, then try again."))
    status = 400 if form.errors else 200
    return render(
        request, "people/sign_in.html", {"form": form, "next": request.GET.get("next", "")}, status=status
    )


def _back(request: HttpRequest) -> str:
    wanted = request.POST.get("next") or request.GET.get("next") or "/"
    safe = url_has_allowed_host_and_scheme(wanted, {request.get_host()}, require_https=request.is_secure())
    return wanted if safe else "/"


def sign_out(request: HttpRequest) -> HttpResponse:
    """Let somebody go."""
    logout(request)
    return redirect("sign-in")


def enter(request: HttpRequest, code: str) -> HttpResponse:
    """Let somebody in who has a one-time link. A link that a command printed works on that machine alone."""
    if request.method == "GET":  # a link that is looked at beforehand is not used up: only the button uses it
        if request.META.get("REMOTE_ADDR", "") in _LOOPBACK and person_of(request) is None:
            return _entered(request, code)
        return render(request, "people/one_time.html", {"code": code})
    return _entered(request, code)


def _entered(request: HttpRequest, code: str) -> HttpResponse:
    taken = one_time.take(code, one_time.SIGN_IN)
    if taken.person is None or not taken.person.is_active or not taken.person.access:
        raise Refusal(_("The account of this link is closed; ask the lead."))
    if not taken.made_by and request.META.get("REMOTE_ADDR", "") not in _LOOPBACK:
        raise Refusal(_("This link works on the station's own machine only; ask the lead for another."))
    login(request, taken.person, backend=_BACKEND)
    return redirect("home")


def set_up_needed(request: HttpRequest) -> HttpResponse:
    """Say that the station has not been set up, and how."""
    if Settings.objects.exists():
        return redirect("home")
    return render(request, "people/set_up_needed.html", {})


def set_up(request: HttpRequest, code: str) -> HttpResponse:
    """Name the station, choose its pack, and open the first account."""
    if Settings.objects.exists():
        raise Refusal(_("This station is set up already; sign in."))
    form = SetUp(request.POST or None)
    if request.method == "POST" and form.is_valid():
        said = form.cleaned_data
        with transaction.atomic():
            one_time.take(code, one_time.SET_UP)
            keep(Settings(name=said["name"], pack=said["pack"], zone=said["zone"]), "-")
            person = Person(key="p1", role="lead")
            accounts.open_account(person, said["login"], Role.LEAD, said["password"], "p1")
        login(request, person, backend=_BACKEND)
        return redirect("home")
    return render(
        request, "people/set_up.html", {"form": form, "code": code}, status=400 if form.errors else 200
    )


def password(request: HttpRequest) -> HttpResponse:
    """Change one's own password."""
    person = signed_in(request)
    form = NewPassword(person, request.POST or None)
    if request.method == "POST" and form.is_valid():
        person.password = make_password(form.cleaned_data["new"])
        person.save(update_fields=["password"])
        update_session_auth_hash(request, person)
        messages.success(request, _("The new password holds from now on."))
        return redirect("home")
    return render(request, "people/password.html", {"form": form}, status=400 if form.errors else 200)


def theme(request: HttpRequest) -> HttpResponse:
    """Choose between paper, dawn and bright sun; empty follows the machine."""
    response = redirect(_back(request))
    wanted = request.POST.get("theme", "")
    if wanted in THEMES:
        response.set_cookie(
            "theme", wanted, max_age=365 * 24 * 3600, samesite="Lax", secure=request.is_secure()
        )
    else:
        response.delete_cookie("theme")
    return response


ROUTES = [
    route("sign-in/", sign_in, "sign-in", get=ANYONE, post=ANYONE),
    route("sign-out/", sign_out, "sign-out", post=ANYONE),
    route("enter/<str:code>/", enter, "enter", get=ANYONE, post=ANYONE),
    route("set-up/", set_up_needed, "set-up-needed", get=ANYONE),
    route("set-up/<str:code>/", set_up, "set-up", get=ANYONE, post=ANYONE),
    route("password/", password, "password", get=SIGNED_IN, post=SIGNED_IN),
    route("theme/", theme, "theme", post=ANYONE),
]
