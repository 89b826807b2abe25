"""Fills an empty station with the invented season, so that everything can be tried without a beach."""

from __future__ import annotations

from haulbook.demo.season import papers, season
from haulbook.exchange.station_toml import station_of
from haulbook.exchange.toml_keys import parse_toml
from haulbook.problems import Refusal
from haulbook.station import clock
from haulbook.station.models import EntryRow, Person, Settings
from haulbook.station.people import accounts
from haulbook.station.people.roles import Role
from haulbook.station.store import book, permits, readings, reference
from haulbook.station.store.writing import writing

ACCESS = {"lead": Role.LEAD, "recorder": Role.RECORDER, "keeper": Role.KEEPER}


def fill() -> None:
    """Fill an empty station; one that holds the invented season already stays as it is.

    Raises
    ------
    Refusal
        Where the station holds anything else.
    """
    own = Settings.objects.first()
    if own is not None:
        if own.invented:
            return
        raise Refusal(
            f"this folder holds {own.name}; the invented season goes into an empty folder, name one with --station"
        )
    if EntryRow.objects.exists():
        raise Refusal("this database holds entries already; the invented season goes into an empty one")
    files = {name: content.decode() for name, content in papers().items()}
    station = station_of(parse_toml(files["station.toml"], "station.toml"), "station.toml")
    _, invented = season()
    with writing():  # all of it or nothing: a season that is half there would never be filled up
        reference.take_in(station, "p1", invented=True)
        for person in Person.objects.all():
            if person.role in ACCESS:
                accounts.open_account(person, f"{person.role}-{person.key}", ACCESS[person.role], None, "p1")
        permits.store_permit(files["permit.toml"], "p1", "as the invented agency gave it")
        book.add(invented.entries, clock.now())
    for _ in readings.freshen():
        pass
