"""``haulbook name`` and ``haulbook lookalike``: which one is it, and what tells it from the others."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from haulbook.cli.common import DONE, TO_SETTLE, leave, print_json
from haulbook.problems import Problem, Refusal

if TYPE_CHECKING:
    from haulbook.identify import Identification
    from haulbook.identify.likelihood import Floats, Model
    from haulbook.taxa import Pack

PackWord = Annotated[str, typer.Option(help="nepacific or nwatlantic.")]
AsJson = Annotated[bool, typer.Option("--json", help="Print the answer as JSON.")]


def register(app: typer.Typer) -> None:
    """Add both commands."""
    app.command(name="name")(name)
    app.command(name="lookalike")(lookalike)


def name(
    pack: PackWord,
    saw: Annotated[
        list[str] | None,
        typer.Option(
            metavar="CHARACTER=STATE", help="What was seen; STATE|STATE where you can't tell which."
        ),
    ] = None,
    not_saw: Annotated[
        list[str] | None,
        typer.Option(metavar="CHARACTER=STATE", help="What was looked for and is not there."),
    ] = None,
    skip: Annotated[
        list[str] | None, typer.Option(metavar="CHARACTER", help="A look that can't be had; not asked again.")
    ] = None,
    site: Annotated[str | None, typer.Option(help="Site of the haul; needs --month and --book.")] = None,
    month: Annotated[
        int | None, typer.Option(help="Month of the haul, 1 to 12; the two beside it count.")
    ] = None,
    book: Annotated[
        Path | None, typer.Option(help="Book (JSON Lines) with the station's past hauls.")
    ] = None,
    top: Annotated[int, typer.Option(min=1, help="How many taxa to list.")] = 5,
    ask: Annotated[bool, typer.Option("--ask", help="Ask look by look, here in the terminal.")] = False,
    list_: Annotated[bool, typer.Option("--list", help="Print every character with its states.")] = False,
    json_: AsJson = False,
) -> None:
    """Say which animal it may be after some looks, how sure that is, and what to look at next.

    Doubt is kept: a genus, family or group is named where the species can't be. Protected, invasive and
    hazardous animals are named as soon as they are possible (5 % together).

    Exit status 1 where looks contradict each other or a notice has to be heeded.

    Example: haulbook name --pack nepacific --ask

    Example: haulbook name --pack nwatlantic --saw body_plan=crab --saw carapace_teeth=five

    Example: haulbook name --pack nwatlantic --saw body_plan=torpedo --not-saw adipose=present
    --site sallowhorn-cove --month 5 --book season/book.jsonl --json
    """
    from haulbook.cli.name_ask import converse
    from haulbook.cli.name_words import answer_words, list_words
    from haulbook.identify import identify, load_model, read_observations
    from haulbook.identify.identification import as_json
    from haulbook.identify.observations import read_characters

    model = load_model(pack)
    characters = model.matrix.characters
    if list_:
        typer.echo(list_words(characters))
        return
    if ask and json_:
        raise Refusal("--ask talks in words; leave out --ask or --json")
    seen = read_observations(saw or (), not_saw or (), characters)
    skipped = read_characters(skip or (), characters)
    before = _before(model, site, month, book)
    if ask:
        found = converse(model, before, seen, skipped)
    else:
        found = identify(model, seen, before, skipped)
        if json_:
            print_json(as_json(found, top))
        else:
            typer.echo(answer_words(found, len(seen), top))
    leave(_status(found))


def lookalike(
    taxa: Annotated[list[str], typer.Argument(metavar="TAXON TAXON...", help="Two to five names or keys.")],
    pack: PackWord,
    html: Annotated[
        Path | None, typer.Option(metavar="CARD.html", help="Also write the card as a page to print.")
    ] = None,
    json_: AsJson = False,
) -> None:
    """Say what tells two to five look-alikes apart, best look first, with cautions for handling.

    Looks easy on the beach come before those that need a lens, unless the lens tells three times as much.

    Exit status 1 where some of them can't be told apart by anything in the table.

    Example: haulbook lookalike "bay pipefish" tube-snout --pack nepacific

    Example: haulbook lookalike cunner tautog --pack nwatlantic --html card.html
    """
    from haulbook.cli.name_words import card_words
    from haulbook.identify import load_matrix, lookalikes
    from haulbook.identify.lookalike import as_json

    matrix = load_matrix(pack)
    found = lookalikes(matrix, _keys(taxa, matrix.pack))
    if html:
        from haulbook.cli.files import write_all
        from haulbook.publish.lookalike_card import lookalike_card

        write_all(html.parent, {html.name: lookalike_card(found).encode()})
    if json_:
        print_json(as_json(found))
    else:
        typer.echo(card_words(found))
    leave(TO_SETTLE if found.unparted else DONE)


def _status(found: Identification) -> int:
    return TO_SETTLE if found.contradictions or found.notices else DONE


def _before(model: Model, site: str | None, month: int | None, book: Path | None) -> Floats:
    """Return the prior: the pack's, or with what past hauls held."""
    from haulbook.identify import found_in, prior

    if site is None and month is None and book is None:
        return prior(model.matrix)
    if site is None or month is None or book is None:
        raise Refusal(
            "--site, --month and --book go together: past hauls of a site and season are read from a book"
        )
    from haulbook.custody.ledger import account_of
    from haulbook.exchange.bookfile import read_book

    past = found_in(account_of(read_book(book), within=model.matrix.pack.is_within), site, month)
    hauls = "1 past haul" if past.hauls == 1 else f"{past.hauls} past hauls"
    weigh = "weighs" if past.hauls == 1 else "weigh"
    typer.echo(f"note: {hauls} at {site} around month {month} {weigh} in", err=True)
    return prior(model.matrix, past.found)


def _keys(names: list[str], pack: Pack) -> list[str]:
    """Return the taxa that the names mean; all that are questions are refused together."""
    from haulbook.taxa.names import resolve

    problems, keys = [], []
    for said in names:
        match = resolve(said, pack)
        if match.certain and match.taxon:
            keys.append(match.taxon)
            continue
        near = ", ".join(each.taxon for each in match.candidates[:4])
        problems.append(
            Problem("refused", f"{said!r} is no certain name here" + (f"; nearest: {near}" if near else ""))
        )
    if problems:
        raise Refusal(problems)
    return keys
