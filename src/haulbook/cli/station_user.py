"""``haulbook station user``: who may come in."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from haulbook.cli.common import DONE, leave, print_json
from haulbook.cli.station_folder import USUAL, AsJson, Station, opened
from haulbook.problems import Refusal, unknown

if TYPE_CHECKING:
    from haulbook.station.models import Person

AT = "http://localhost:8427"
Address = Annotated[str, typer.Option("--at", help="Address of the station in the link.")]
_BY = "-"
"""Stands for who works at the command line."""
Login = Annotated[str, typer.Argument(help="How the person signs in.")]


def register(app: typer.Typer) -> None:
    """Add the commands."""
    user = typer.Typer(help="Accounts: who may come in, and as what.", no_args_is_help=True)
    user.command("add")(add)
    user.command("list")(list_)
    user.command("password")(password)
    user.command("close")(close)
    app.add_typer(user, name="user")


def add(
    login: Login,
    access: Annotated[str, typer.Option(help="What the account may do: lead, recorder, keeper or viewer.")],
    person: Annotated[
        str | None, typer.Option(help="Key of a person that is there already, as p3. Default: a new one.")
    ] = None,
    name: Annotated[str | None, typer.Option(help="Name to show; it never goes into the book.")] = None,
    at: Address = AT,
    station: Station = USUAL,
) -> None:
    """Open an account and print a link by which the person comes in once, within half an hour, to set a password.

    Example: haulbook station user add anna --access recorder --at https://station.example.org
    """
    with opened(station):
        from django.db import transaction

        from haulbook.station.models import Person
        from haulbook.station.people import accounts
        from haulbook.station.people.roles import Role

        if access not in tuple(Role):
            raise Refusal(unknown("role of an account", access, tuple(Role)))
        with transaction.atomic():
            found = Person.objects.filter(key=person).first() if person else None
            if person and found is None:
                raise Refusal(unknown("person", person, Person.objects.values_list("key", flat=True)))
            if found is not None and found.login and found.access and found.is_active:
                raise Refusal(
                    f"{found.key} has the account {found.login!r} already; a new link: haulbook station user password"
                )
            made = found or Person(key=accounts.next_key(), role=access)
            made.name = name if name is not None else made.name
            accounts.open_account(made, login, access, None, _BY)
        _print_link(made, at)
    leave(DONE)


def list_(
    station: Station = USUAL,
    as_json: AsJson = False,
) -> None:
    """List everybody with an account.

    Example: haulbook station user list --station season/station
    """
    with opened(station):
        from haulbook.station.models import Person

        rows = [
            {
                "login": one.login,
                "person": one.key,
                "access": one.access,
                "open": one.is_active,
                "password": one.has_usable_password(),
                "last_in": one.last_login.isoformat(timespec="minutes") if one.last_login else None,
            }
            for one in Person.objects.filter(login__isnull=False).order_by("login")
        ]
    if as_json:
        print_json(rows)
    else:
        for row in rows:
            state = "closed" if not row["open"] else f"last in {row['last_in'] or 'never'}"
            typer.echo(f"{row['login']}  {row['person']}  {row['access']}  {state}")
    leave(DONE)


def password(login: Login, at: Address = AT, station: Station = USUAL) -> None:
    """Forget somebody's password and print a link by which they come in once and set another.

    Example: haulbook station user password anna --at https://station.example.org
    """
    with opened(station):
        person = _account(login)
        if not person.is_active:
            raise Refusal(f"the account {login!r} is closed; open it again: haulbook station user add")
        person.set_unusable_password()
        person.save(update_fields=["password"])
        _print_link(person, at)
    leave(DONE)


def close(login: Login, station: Station = USUAL) -> None:
    """Close an account: nobody comes in by it from now on. What the person wrote stays.

    Example: haulbook station user close anna --station season/station
    """
    with opened(station):
        from haulbook.station.models import Person
        from haulbook.station.people.roles import Role
        from haulbook.station.store.reference import keep

        person = _account(login)
        leads = Person.objects.filter(access=Role.LEAD, is_active=True).exclude(pk=person.pk)
        if person.access == Role.LEAD and person.is_active and not leads.exists():
            raise Refusal(f"{login!r} is the only lead; open an account for another lead first")
        person.is_active = False
        keep(person, _BY)
        typer.echo(f"{login}: closed. Phones of {person.key} are turned away on the page Devices.")
    leave(DONE)


def _account(login: str) -> Person:
    from haulbook.station.models import Person

    found = Person.objects.filter(login=login).first()
    if found is None:
        logins = Person.objects.filter(login__isnull=False).values_list("login", flat=True)
        raise Refusal(unknown("account", login, [str(one) for one in logins]))
    return found


def _print_link(person: Person, at: str) -> None:
    from haulbook.station.people import one_time

    code = one_time.make(one_time.SIGN_IN, person=person, by=_BY)
    typer.echo(f"{person.key} comes in once by this link, within half an hour, and sets a password then:\n")
    typer.echo(f"    {at.rstrip('/')}/enter/{code}/\n")
