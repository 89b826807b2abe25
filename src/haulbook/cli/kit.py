"""``haulbook kit``: all that a phone needs at the beach, in one file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from haulbook.cli.common import DONE, TO_SETTLE, Together, leave, print_json, print_problems
from haulbook.cli.tide_station import is_own, tide_station
from haulbook.problems import Problem, Refusal

if TYPE_CHECKING:
    from datetime import datetime

    from haulbook.exchange.station_toml import Site
    from haulbook.shore import Kit


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(name="kit")(kit)


def kit(
    plan: Annotated[Path, typer.Option(help="Plan of the outing (TOML): day, site, crew, nets, buckets.")],
    site: Annotated[Path, typer.Option(help="Station file (TOML): sites, nets, people, taxon pack.")],
    out: Annotated[Path, typer.Option(help="Kit to write (JSON); an older kit there is replaced.")],
    permit: Annotated[
        list[Path] | None, typer.Option(help="Permit (TOML); repeat for each that the plan names.")
    ] = None,
    book: Annotated[
        list[Path] | None,
        typer.Option(help="Book (JSON Lines); repeat to merge. Default: nothing taken yet."),
    ] = None,
    when: Annotated[
        str | None,
        typer.Option(
            "--now", metavar="T", help="Made at this instant, 2027-05-13T20:00 local. Default: the clock."
        ),
    ] = None,
    as_json: Annotated[
        bool, typer.Option("--json", help="Print what was written as JSON; sizes in bytes.")
    ] = False,
) -> None:
    """Compile the kit of one outing: names, what the permits leave, tide, buckets, key, and its entries so far.

    The phone needs nothing else at the beach. The kit names no person and no position; the outing's own entries
    stand in it as they were written. Make a new one after every change to plan, permits or book: the phone keeps
    what was written on it.

    Exit status 1 means that the kit was written and the lead has something to settle before relying on it: a
    permit that is not in force that day, a clause that nobody has compared with the paper, a stop.

    \b
    Example:
        haulbook kit --plan plan.toml --site station.toml --permit permit.toml --book book.jsonl --out kit.json
    """  # noqa: D301
    import gzip

    from haulbook.cli.files import write_all
    from haulbook.shore import kit_bytes

    before = _replaced(out)
    made = _compiled(plan, site, permit or [], book or [], when)
    written = kit_bytes(made)
    compressed = len(gzip.compress(written, mtime=0))
    write_all(out.parent, {out.name: written})
    if as_json:
        print_json(_as_json(made, out, written, compressed))
    else:
        _say(made, out, written, compressed, before)
    print_problems(_notes(made, compressed))
    leave(TO_SETTLE if made.to_settle else DONE)


def _compiled(plan: Path, site: Path, permits: list[Path], books: list[Path], when: str | None) -> Kit:
    """Read every file and compile; what is off in several files, or between them, is reported at once."""
    from haulbook.custody.book import merge
    from haulbook.exchange.bookfile import read_book
    from haulbook.exchange.permit_toml import read_permit
    from haulbook.exchange.plan_toml import read_plan
    from haulbook.exchange.station_toml import read_station
    from haulbook.office.compile_kit import compile_kit
    from haulbook.taxa import load_pack

    together = Together()
    planned, station = together.read(read_plan, plan), together.read(read_station, site)
    pack = together.read(load_pack, station.pack) if station else None
    read = [together.read(read_permit, path, pack) for path in permits]
    parts = [together.read(read_book, path) for path in books]
    place = station.sites.get(planned.site) if station and planned else None
    word = place.tide.station if place and place.tide else ""
    own = together.read(tide_station, word, site.parent) if is_own(word) else None
    made_at = together.read(_made_at, when, place)
    together.refuse()
    assert planned and station and pack and made_at  # noqa: S101, PT018 (None was refused)
    return compile_kit(
        planned,
        station,
        [one for one in read if one],
        pack,
        merge(*(part for part in parts if part)),
        made_at,
        tide_station=own,
        plan_file=plan.name,
    )


def _made_at(when: str | None, place: Site | None) -> datetime:
    from haulbook.office.clock import now
    from haulbook.tide.clock import instant_of, zone_of

    zone = zone_of(place.zone if place else "UTC")
    return instant_of(when, zone).astimezone(zone) if when else now().astimezone(zone)


def _replaced(out: Path) -> Kit | None:
    """Return the kit that stands where the new one goes; anything else there is left alone."""
    from haulbook.shore import read_kit

    if not out.exists():
        return None
    try:
        return read_kit(out.read_bytes(), out.name)
    except (OSError, Refusal):
        said = "something that is no kit stands here; move it away, or name another file with --out"
        raise Refusal(Problem("refused", said, file=str(out))) from None


def _as_json(made: Kit, out: Path, written: bytes, compressed: int) -> dict[str, Any]:
    return {
        "file": str(out),
        "outing": made.outing,
        "made_at": made.made_at,
        "digest": made.digest,
        "bytes": len(written),
        "compressed": compressed,
        "taxa": len(made.taxa),
        "clauses": len(made.clauses),
        "entries": len(made.entries),
        "to_settle": list(made.to_settle),
    }


def _say(made: Kit, out: Path, written: bytes, compressed: int, before: Kit | None) -> None:
    from haulbook.permit.words import moment_words
    from haulbook.shore import age_words

    size = f"{len(written) / 1000:.0f} kB, {compressed / 1000:.0f} kB compressed"
    typer.echo(f"{out}: kit for {made.outing}, {size}, made {moment_words(made.made)}")
    if before:
        typer.echo(f"  replaces the kit for {before.outing} that was {age_words(before, made.made)}")
    typer.echo(
        f"  {len(made.taxa)} taxa, {len(made.clauses)} clauses that count, {len(made.entries)} entries"
    )
    for clause in made.clauses:
        if clause.left is not None:
            typer.echo(f"  {clause.permit} {clause.id}: {clause.left} left, {clause.basis}, {clause.period}")
    for words in made.to_settle:
        typer.echo(f"To settle: {words}")


def _notes(made: Kit, compressed: int) -> list[Problem]:
    from haulbook.shore.kit import MOST_COMPRESSED

    notes = []
    if made.keep_device is None:
        notes.append("the plan names no keep_device: two phones that keep would spend the same headroom")
    if compressed > MOST_COMPRESSED:
        notes.append(
            f"the kit takes {compressed / 1000:.0f} kB compressed, more than the {MOST_COMPRESSED / 1000:.0f} kB "
            "meant for a weak signal: fetch it before leaving"
        )
    return [Problem("note", words) for words in notes]
