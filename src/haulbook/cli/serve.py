"""``haulbook serve``: the station in a browser."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from haulbook.cli.common import DONE, leave


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(name="serve")(serve)


def serve(
    station: Annotated[Path, typer.Option(help="The station's folder; made where it is missing.")] = Path(
        "season/station"
    ),
    demo: Annotated[
        bool, typer.Option("--demo", help="Fill an empty station with the invented season.")
    ] = False,
    host: Annotated[str, typer.Option(help="Address to listen on; 0.0.0.0 for every network.")] = "127.0.0.1",
    port: Annotated[int, typer.Option(min=0, max=65535, help="Port; 0 takes a free one.")] = 8427,
    names: Annotated[
        list[str] | None, typer.Option("--name", help="A name or address by which phones reach this machine.")
    ] = None,
    public: Annotated[
        str | None, typer.Option(help="Address at which a proxy answers for it, https://station.example.org.")
    ] = None,
    certificate: Annotated[Path | None, typer.Option(help="PEM certificate, to speak HTTPS itself.")] = None,
    key: Annotated[Path | None, typer.Option(help="PKCS#8 PEM key of the certificate.")] = None,
    open_: Annotated[bool, typer.Option("--open", help="Open it in the browser.")] = False,
) -> None:
    """Serve the station to browsers and phones, and print a link that signs in once.

    The link works on this machine only. A new station is set up at the link that is printed instead. Entries go to
    SQLite in the station's folder, or to PostgreSQL where HAULBOOK_DATABASE_URL names a database. With --public it
    believes what the proxy says of who asks: let nobody else reach its port.

    Example: haulbook serve --station season/station --demo --open
    """
    from haulbook.station.serving import Serving, serve_station

    serve_station(
        Serving(
            folder=station,
            demo=demo,
            host=host,
            port=port,
            names=tuple(names or ()),
            public=public,
            certificate=certificate,
            key=key,
            open_browser=open_,
        )
    )
    leave(DONE)
