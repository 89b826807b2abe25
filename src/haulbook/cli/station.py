"""``haulbook station``: what is done to a whole station: backup and restore, open files, verifying, its people."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from haulbook.cli import station_user
from haulbook.cli.common import DONE, REFUSED, TO_SETTLE, leave, print_json, print_problems
from haulbook.cli.station_folder import USUAL, AsJson, Station, opened
from haulbook.problems import Problem


def register(app: typer.Typer) -> None:
    """Add the commands."""
    station = typer.Typer(
        help="Back up, restore, export and verify a station; its people. With HAULBOOK_DATABASE_URL its rows are in "
        "that PostgreSQL database, otherwise in its folder.",
        no_args_is_help=True,
    )
    station.command("backup")(backup)
    station.command("restore")(restore)
    station.command("export")(export)
    station.command("import")(import_)
    station.command("rebuild")(rebuild)
    station.command("verify")(verify)
    station_user.register(station)
    app.add_typer(station, name="station")


def backup(
    file: Annotated[Path, typer.Argument(help="Backup to write (ZIP); an older one there is replaced.")],
    station: Station = USUAL,
    as_json: AsJson = False,
) -> None:
    """Write the whole station into one file, as it stands now; people and phones go on meanwhile.

    The file holds the book, people, permits, plans, devices and stored files, with the SHA-256 of each part and of
    itself. It fits any database: a station on SQLite can be restored on PostgreSQL. It holds password hashes: keep it
    as you keep the station. Restore it into an empty folder now and then, to see that it can be.

    Example: haulbook station backup backups/monday.zip --station season/station
    """
    with opened(station) as told:
        from haulbook.station.store.backup import back_up

        holds = back_up(file, told)["book"]
    if as_json:
        print_json({"file": str(file), "bytes": file.stat().st_size, **holds})
    else:
        typer.echo(
            f"{file}: {holds['entries']} entries, {len(holds['signed'])} sign-offs, {file.stat().st_size / 1e6:.1f} MB"
        )
        typer.echo(f"  book {holds['digest']}")
    leave(DONE)


def restore(
    file: Annotated[Path, typer.Argument(help="Backup to bring back.")],
    station: Station = USUAL,
    replace: Annotated[
        bool,
        typer.Option("--replace", help="Put what is there aside into a backup file, and take its place."),
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Fill an empty station from a backup, once every byte, hash and chain of it was looked at.

    A file that is not what was once written is refused, and what is there stays as it is. Everybody signs in anew
    afterwards. Phones go on with their tokens and send everything they hold once more: so what came in after the
    backup comes back.

    Example: haulbook station restore backups/monday.zip --station season/restored
    """
    from haulbook.station.store import sealed

    with sealed.opened(file):
        pass  # looked at before a folder is made for it
    with opened(station, new=True) as told:
        from haulbook.station.store.restore import restore as bring_back

        done = bring_back(file, replace=replace, told=told)
    holds = done.says["book"]
    if as_json:
        print_json(
            {"made_at": done.says["made_at"], "aside": str(done.aside) if done.aside else None, **holds}
        )
    else:
        typer.echo(f"{done.says['station']} as of {done.says['made_at']}: {holds['entries']} entries")
        typer.echo(f"  book {holds['digest']}")
        if done.aside:
            typer.echo(f"  what was here before: {done.aside}")
    leave(DONE)


def export(
    folder: Annotated[Path, typer.Argument(help="New folder for the files.")],
    station: Station = USUAL,
    as_json: AsJson = False,
) -> None:
    """Write the station as open files: book.jsonl, station.toml, permits, plans, layouts, stored files, photos.

    They are what `haulbook account`, `plan`, `kit` and `verify` take. Names of people stand in station.toml alone.

    Example: haulbook station export season/open --station season/station
    """
    with opened(station) as told:
        from dataclasses import asdict

        from haulbook.station.store.export import export as write_out

        done = asdict(write_out(folder, told))
    if as_json:
        print_json({"folder": str(folder), **done})
    else:
        typer.echo(f"{folder}: " + ", ".join(f"{n} {what}" for what, n in done.items()))
    leave(DONE)


def import_(
    book: Annotated[
        Path, typer.Argument(metavar="BOOK", help="Book file (JSON Lines): a phone's saved copy, an export.")
    ],
    station: Station = USUAL,
    as_json: AsJson = False,
) -> None:
    """Add the entries of a book file that are not here yet. Doing it twice is the same as once.

    Photos that its lines name are taken in from a folder `pictures` beside it, as an export has it.

    Exit status 1: gaps or forks stand now that did not before, for the lead to settle; or a photo was left out.

    Example: haulbook station import "2026-09-26-a d1.jsonl" --station season/station
    """
    with opened(station) as told:
        from haulbook.station.store.take_in import take_in

        done = take_in(book, told)
    if as_json:
        print_json(
            {"new": done.new, "known": done.known, "pictures": done.pictures, "loose": list(done.loose)}
        )
    else:
        photos = f", {done.pictures} photos" if done.pictures else ""
        typer.echo(f"{book}: {done.new} new entries, {done.known} known already{photos}")
    print_problems(Problem("asked", words) for words in done.loose)
    leave(TO_SETTLE if done.loose else DONE)


def rebuild(station: Station = USUAL) -> None:
    """Make anew everything that is worked out of entries: accounts, tanks, the words that are searched.

    Nothing of the book changes. Needed after an update that says so, or where `verify` asks for it.

    Example: haulbook station rebuild --station season/station
    """
    with opened(station) as told:
        from haulbook.station.store.rebuild import rebuild as make_anew

        typer.echo(f"{make_anew(told)} readings made anew")
    leave(DONE)


def verify(station: Station = USUAL, as_json: AsJson = False) -> None:
    """Look at every entry, chain, stored file and reading, and at what keeps entries from being changed.

    Exit status 0: everything is as it was written. 1: it is, and gaps, forks or changed sign-offs are to be settled.
    2: something is not. Photos that have not come in are counted, and change nothing of that.

    Example: haulbook station verify --station season/station
    """
    with opened(station) as told:
        from haulbook.station.store.verify import verify as look

        found = look(told)
    if as_json:
        said = {"broken": list(found.broken), "to_settle": list(found.loose), "notes": list(found.notes)}
        print_json({**found.holds.as_json(), **said})
    else:
        if not found.broken:
            typer.echo(f"{found.holds.entries} entries, all as written; book {found.holds.digest}")
        for words in found.notes:
            typer.echo(words)
    print_problems(Problem("refused", words) for words in found.broken)
    print_problems(Problem("asked", words) for words in found.loose)
    leave(REFUSED if found.broken else TO_SETTLE if found.loose else DONE)
