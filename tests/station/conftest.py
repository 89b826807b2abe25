"""A station with the invented season in the test database, people of each role, and a served station for browsers."""

from __future__ import annotations

import os
import re
import secrets
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest
from django.test import Client

from haulbook.station.models import Person
from haulbook.station.people.roles import Role

DATABASE_URL = "HAULBOOK_DATABASE_URL"


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup, django_db_blocker):
    """Fill the test database with the invented season, once; every test sees it and leaves it as it was."""
    from haulbook.station.invented import fill

    with django_db_blocker.unblock():
        fill()
        Person.objects.create(key="p90", role="viewer", login="viewer-p90", access=Role.VIEWER, password="!")


@pytest.fixture(autouse=True)
def _nothing_is_made_aside(monkeypatch):
    """Make every reading while one waits: a thread would not see what a test has not committed."""
    monkeypatch.setattr("haulbook.station.store.readings.AT_ONCE", 10**9)


@pytest.fixture
def signed_in(db) -> Callable[[str], Client]:
    """Return a client signed in with a role: ``signed_in("lead")``; ``""`` for no account."""

    def client(role: str) -> Client:
        made = Client()
        if role:
            made.force_login(Person.objects.filter(access=role).order_by("key").first())
        return made

    return client


@pytest.fixture
def lead(signed_in) -> Client:
    """A client signed in as the lead."""
    return signed_in("lead")


@dataclass
class Served:
    """A station that a server of its own serves."""

    folder: Path
    url: str
    link: str
    environment: dict[str, str]


@contextmanager
def serving(folder: Path, *words: str, now: str | None = None) -> Iterator[Served]:
    """Serve a station from a process of its own, as its users do; a database of its own where PostgreSQL is used."""
    environment = dict(os.environ)
    if now:
        environment["HAULBOOK_NOW"] = now
    url = os.environ.get(DATABASE_URL)
    name = None
    if url:
        name = f"station_{secrets.token_hex(4)}"
        _in_postgres(url, f"CREATE DATABASE {name}")
        environment[DATABASE_URL] = _with_name(url, name)
    with (folder.parent / f"{folder.name}.log").open("w") as log:
        process = subprocess.Popen(
            [sys.executable, "-m", "haulbook", "serve", "--station", str(folder), "--port", "0", *words],
            stdout=subprocess.PIPE,
            stderr=log,
            text=True,
            env=environment,
        )
    try:
        link = ""
        for line in process.stdout:
            if found := re.search(r"http\S+", line):
                link = found[0]
            if line.startswith("Stop it"):
                break
        if not link:
            raise AssertionError((folder.parent / f"{folder.name}.log").read_text())
        _wait_until_it_listens(link)
        yield Served(folder, re.match(r"https?://[^/]+", link)[0], link, environment)
    finally:
        process.terminate()
        process.wait(20)
        process.stdout.close()
        if name:
            _in_postgres(url, f"DROP DATABASE {name} WITH (FORCE)")


@pytest.fixture
def new_postgres() -> Iterator[Callable[[], str]]:
    """Return the URL of a new, empty PostgreSQL database; skipped where there is no server."""
    url = os.environ.get(DATABASE_URL)
    if not url:
        pytest.skip("no PostgreSQL here: tools/with_postgres.sh pytest tests/station")
    made: list[str] = []

    def make() -> str:
        made.append(f"station_{secrets.token_hex(4)}")
        _in_postgres(url, f"CREATE DATABASE {made[-1]}")
        return _with_name(url, made[-1])

    yield make
    for name in made:
        _in_postgres(url, f"DROP DATABASE {name} WITH (FORCE)")


def _wait_until_it_listens(link: str) -> None:
    """Wait for the worker, which starts after the link is printed."""
    host, port = re.match(r"https?://([^:/]+):(\d+)", link).groups()
    until = time.monotonic() + 60
    while True:
        try:
            socket.create_connection((host, int(port)), timeout=1).close()
        except OSError:
            if time.monotonic() > until:
                raise
            time.sleep(0.1)
        else:
            return


def _with_name(url: str, name: str) -> str:
    from urllib.parse import urlsplit, urlunsplit

    parts = urlsplit(url)
    return urlunsplit((parts.scheme, parts.netloc, f"/{name}", parts.query, ""))


def _in_postgres(url: str, statement: str) -> None:
    import psycopg

    with psycopg.connect(url, autocommit=True) as connection:
        connection.execute(statement)


@pytest.fixture(scope="session")
def serve() -> Callable[..., object]:
    """Serve a station for as long as a test needs it: ``with serve(folder, "--demo", now="2026-...") as served``."""
    return serving


@pytest.fixture(scope="session")
def invented_station(tmp_path_factory) -> Iterator[Served]:
    """A served station with the invented season, shared by tests that only look."""
    with serving(tmp_path_factory.mktemp("served") / "station", "--demo") as served:
        yield served


@pytest.fixture
def own_station(tmp_path) -> Iterator[Served]:
    """A served station with the invented season, for a test that changes it."""
    with serving(tmp_path / "station", "--demo") as served:
        yield served


@pytest.fixture
def new_station(tmp_path) -> Iterator[Served]:
    """A served station that nobody has set up."""
    with serving(tmp_path / "station") as served:
        yield served
