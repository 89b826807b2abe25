"""Runs a station: its folder, its database, the link that signs in, and the server."""

from __future__ import annotations

import os
import socket
import sys
import threading
import time
import webbrowser
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from haulbook.problems import Refusal
from haulbook.station.folder import FOLDER

LOOPBACK = ("127.0.0.1", "localhost", "::1")


@dataclass(frozen=True, slots=True)
class Serving:
    """How a station is to be served; see ``haulbook serve --help``."""

    folder: Path
    demo: bool = False
    host: str = "127.0.0.1"
    port: int = 8427
    names: tuple[str, ...] = ()
    public: str | None = None
    certificate: Path | None = None
    key: Path | None = None
    open_browser: bool = False

    @property
    def https(self) -> bool:
        """Whether the server itself speaks HTTPS."""
        return self.certificate is not None


def connect(folder: Path) -> None:
    """Make a station's folder and database ready in this process.

    Raises
    ------
    Refusal
        Where the folder can't be used or the database can't be reached.
    """
    import django
    from django.db import DatabaseError, connection
    from django.db.utils import OperationalError

    os.environ[FOLDER] = str(folder.resolve())
    os.environ["DJANGO_SETTINGS_MODULE"] = "haulbook.station.settings"
    django.setup()
    from django.core.management import call_command

    try:
        connection.ensure_connection()
        call_command("migrate", verbosity=0, interactive=False)
    except (OperationalError, DatabaseError) as error:
        reason = str(error).strip().splitlines()[0]
        raise Refusal(f"the station's database can't be used: {reason}") from None


def disconnect() -> None:
    """Close this process's connections to the database, and the pool that keeps some open."""
    from django.db import connections

    for connection in connections.all():
        connection.close()
        if hasattr(connection, "close_pool"):
            connection.close_pool()


def serve_station(serving: Serving) -> None:
    """Serve until somebody stops it."""
    if serving.certificate is not None and serving.key is None:
        raise Refusal("--certificate needs --key, the certificate's key as PKCS#8 PEM")
    public = _public(serving)
    port = _free_port(serving.host, serving.port)
    scheme = "https" if serving.https else "http"
    named = (*LOOPBACK, *serving.names, *_own_addresses(serving))
    hosts = dict.fromkeys(f"[{one}]" if ":" in one else one for one in named)
    origins = [public] if public else [f"{scheme}://{name}:{port}" for name in hosts]
    os.environ["HAULBOOK_HOSTS"] = " ".join([*hosts, *([str(urlsplit(public).hostname)] if public else [])])
    os.environ["HAULBOOK_ORIGINS"] = " ".join(origins)
    if serving.https or public:
        os.environ["HAULBOOK_HTTPS"] = "1"
    if public:
        os.environ["HAULBOOK_PROXY"] = "1"
    connect(serving.folder)
    if serving.demo:
        from haulbook.station.invented import fill

        fill()
    link = f"{public or f'{scheme}://{_shown_host(serving)}:{port}'}/{_way_in(anywhere=public is not None)}"
    where = "" if public else ", on this machine"
    words = [f"The station in {serving.folder} is open. Come in once by this link{where}:\n\n    {link}\n"]
    if public:
        words.append(
            f"It waits for the proxy at http://{serving.host}:{port}. Phones reach it at {public}/shore/"
        )
    elif serving.host not in LOOPBACK:
        reached = serving.names or _own_addresses(serving)
        words.append(
            "Phones reach it at " + ", ".join(f"{scheme}://{name}:{port}/shore/" for name in reached)
        )
    words.append("Stop it with Ctrl-C.")
    opens = link if serving.open_browser and _has_screen() else None
    threading.Thread(target=_say_when_open, args=(serving.host, port, words, opens), daemon=True).start()
    _run(serving, port)


def _say_when_open(host: str, port: int, words: Iterable[str], opens: str | None) -> None:
    """Wait until somebody is let in, then say so: a link that is pressed too soon leads nowhere."""
    at = {"0.0.0.0": "127.0.0.1", "::": "::1"}.get(host, host)  # noqa: S104 - a comparison, nothing listens here
    for _ in range(600):
        with suppress(OSError), socket.create_connection((at, port), 1):
            break
        time.sleep(0.1)
    for line in words:
        _say(line)
    if opens:
        webbrowser.open(opens)


def _run(serving: Serving, port: int) -> None:
    from granian import Granian
    from granian.constants import Interfaces
    from granian.log import LogLevels

    disconnect()  # a worker opens its own
    tls: dict[str, Any] = (
        {"ssl_cert": serving.certificate, "ssl_key": serving.key, "ssl_protocol_min": "tls1.2"}
        if serving.https
        else {}
    )
    Granian(
        "haulbook.station.wsgi:application",
        address=serving.host,
        port=port,
        interface=Interfaces.WSGI,
        workers=1,
        blocking_threads=4,
        websockets=False,
        log_access=False,
        log_level=LogLevels.warning,
        **tls,
    ).serve()


def _public(serving: Serving) -> str | None:
    """Return the address at which a proxy answers for this server, without an end."""
    if serving.public is None:
        return None
    parts = urlsplit(serving.public)
    if parts.scheme != "https" or not parts.hostname or parts.path.strip("/") or parts.query:
        raise Refusal(
            f"--public is {serving.public}; it takes the address at the proxy, as https://station.example.org"
        )
    if serving.https:
        raise Refusal("--public is for a proxy that speaks HTTPS; leave --certificate and --key to it")
    return f"https://{parts.netloc}"


def _way_in(*, anywhere: bool = False) -> str:
    """Return the path of a one-time link: to the set-up of a new station, or signing in as its lead.

    It works on this machine only, unless ``anywhere``: through a proxy nobody is on this machine.
    """
    from haulbook.station.models import Person, Settings
    from haulbook.station.people import one_time
    from haulbook.station.people.roles import Role

    if not Settings.objects.exists():
        return f"set-up/{one_time.make(one_time.SET_UP)}/"
    lead = Person.objects.filter(access=Role.LEAD, is_active=True).order_by("pk").first()
    if lead is None:
        raise Refusal(
            "this station has no lead with an account; open one: haulbook station user add --access lead"
        )
    return f"enter/{one_time.make(one_time.SIGN_IN, person=lead, by='-' if anywhere else '')}/"


def _free_port(host: str, port: int) -> int:
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    with socket.socket(family, socket.SOCK_STREAM) as trial:
        trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            trial.bind((host, port))
        except OSError as error:
            raise Refusal(
                f"nothing can listen on {host}:{port} ({error.strerror}); choose another --port, or 0 for a free one"
            ) from None
        return int(trial.getsockname()[1])


def _own_addresses(serving: Serving) -> tuple[str, ...]:
    """Return this machine's address on the network, where it is to be reached from there."""
    if serving.host in LOOPBACK:
        return ()
    if serving.host not in ("0.0.0.0", "::"):  # noqa: S104 - a comparison, nothing listens here
        return (serving.host,)
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(
                ("192.0.2.1", 9)
            )  # TEST-NET-1 (RFC 5737): picks the outgoing address, sends nothing
        except OSError:
            return (socket.gethostname(),)
        return (str(probe.getsockname()[0]), socket.gethostname())


def _shown_host(serving: Serving) -> str:
    return "localhost" if serving.host in (*LOOPBACK, "0.0.0.0", "::") else serving.host  # noqa: S104


def _has_screen() -> bool:
    return not sys.platform.startswith("linux") or bool({"DISPLAY", "WAYLAND_DISPLAY"} & os.environ.keys())


def _say(words: str) -> None:
    sys.stdout.write(words + "\n")
    sys.stdout.flush()
