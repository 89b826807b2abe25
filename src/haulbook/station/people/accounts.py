"""Signing in: by login and password, or once by a link."""

from __future__ import annotations

from datetime import timedelta

from django.contrib.auth.hashers import check_password, make_password
from django.http import HttpRequest

from haulbook.problems import Refusal
from haulbook.station import clock
from haulbook.station.models import Person, SignInTry
from haulbook.station.store.reference import keep

WITHIN = timedelta(minutes=15)
MOST_FOR_LOGIN = 5
MOST_FROM_ADDRESS = 20


class ByLogin:
    """Django's way in: who signs in with this login and password."""

    def authenticate(self, request: HttpRequest | None, login: str = "", password: str = "") -> Person | None:
        """Return the person, or None; takes as long where there is no such login."""
        person = Person.objects.filter(login=login, is_active=True).exclude(access="").first()
        if person is None:
            make_password(password)
            return None
        return person if check_password(password, person.password) else None

    def get_user(self, pk: int) -> Person | None:
        """Return who a session belongs to; None once their account is closed."""
        return Person.objects.filter(pk=pk, is_active=True).exclude(access="").first()


def slowed(login: str, address: str) -> bool:
    """Say whether somebody guessed too often to try again now."""
    since = clock.now() - WITHIN
    tries = SignInTry.objects.filter(at__gt=since)
    return (
        tries.filter(login=login, address=address).count() >= MOST_FOR_LOGIN
        or tries.filter(address=address).count() >= MOST_FROM_ADDRESS
    )


def missed(login: str, address: str) -> None:
    """Note a sign-in that failed; what is long past is forgotten."""
    now = clock.now()
    SignInTry.objects.filter(at__lt=now - 10 * WITHIN).delete()
    SignInTry.objects.create(login=login[:80], address=address[:64], at=now)


def welcome(login: str, address: str) -> None:
    """Forget the failed tries of somebody who then got in."""
    SignInTry.objects.filter(login=login, address=address).delete()


def next_key() -> str:
    """Return the next free key of a person: p1, p2, ..."""
    taken = [int(key[1:]) for key in Person.objects.values_list("key", flat=True) if key[1:].isdigit()]
    return f"p{max(taken, default=0) + 1}"


def open_account(person: Person, login: str, access: str, password: str | None, by: str) -> Person:
    """Give a person an account, or change it.

    Parameters
    ----------
    password : str or None
        None leaves it, or leaves the account to be entered by a one-time link only.

    Raises
    ------
    Refusal
        Where somebody else has that login.
    """
    taken = Person.objects.filter(login=login).exclude(pk=person.pk).first()
    if taken is not None:
        raise Refusal(f"{taken.key} signs in as {login!r} already; choose another login")
    person.login, person.access, person.is_active = login, access, True
    if password is not None:
        person.password = make_password(password)
    elif not person.password:
        person.password = make_password(None)
    keep(person, by)
    return person
