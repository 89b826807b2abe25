"""``haulbook demo``: the invented season as files that a user could have."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from haulbook.cli.common import print_json


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(name="demo")(demo)


def demo(
    out: Annotated[Path, typer.Option(help="Folder to write into; made where it is missing.")],
    json_: Annotated[bool, typer.Option("--json", help="Print the paths as JSON.")] = False,
) -> None:
    """Write the invented season: sheets of three years, permit, station, map, and the season's own book.

    Everything in it is invented: station, cove, permit, crew and animals.

    Example: haulbook demo --out season/demo
    """
    from haulbook.cli.files import write_all
    from haulbook.demo.season import papers, season
    from haulbook.exchange.bookfile import book_lines

    sheets, book = season()
    write_all(out, {**sheets, **papers(), "book.jsonl": b"".join(book_lines(book.entries))})
    paths: dict[str, str | list[str]] = {
        "book": str(out / "book.jsonl"),
        "permit": str(out / "permit.toml"),
        "site": str(out / "station.toml"),
        "map": str(out / "map.toml"),
        "sheets": [str(out / name) for name in sheets],
    }
    if json_:
        print_json(paths)
        return
    hauls = sum(entry.kind == "haul-started" for entry in book.entries)
    typer.echo(f"An invented season of {hauls} hauls stands in {out}: {', '.join([*sheets, 'book.jsonl'])}")
    typer.echo(
        f"Account for it: haulbook account {out}/20* --map {out}/map.toml --permit {out}/permit.toml "
        f"--site {out}/station.toml --out {out}/account"
    )
