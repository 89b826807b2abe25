"""``haulbook taxon``: what a name means, or who may be meant."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from haulbook.cli.common import DONE, TO_SETTLE, leave, print_json

if TYPE_CHECKING:
    from haulbook.taxa import Pack
    from haulbook.taxa.names import Match


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(name="taxon")(taxon)


def taxon(
    name: Annotated[str, typer.Argument(help="A name as called, typed or printed.")],
    pack: Annotated[str, typer.Option(help="nepacific or nwatlantic.")],
    json_: Annotated[bool, typer.Option("--json", help="Print the answer as JSON.")] = False,
) -> None:
    """Say which taxon a name means; a name below certainty is a question, with candidates.

    Exit status 1 where it is a question.

    Example: haulbook taxon "silversides" --pack nwatlantic

    Example: haulbook taxon "rockfish decan" --pack nepacific --json
    """
    from haulbook.taxa import load_pack
    from haulbook.taxa.names import resolve

    taxa = load_pack(pack)
    match = resolve(name, taxa)
    if json_:
        print_json(
            {
                "certain": match.certain,
                "taxon": match.taxon,
                "scientific_name": taxa[match.taxon].scientific_name if match.taxon else None,
                "stage": match.stage,
                "doubt": match.doubt,
                "candidates": [
                    {"taxon": one.taxon, "scientific_name": one.scientific_name, "score": one.score}
                    for one in match.candidates
                ],
            }
        )
    else:
        _say(match, taxa)
    leave(DONE if match.certain else TO_SETTLE)


def _say(match: Match, pack: Pack) -> None:
    if match.taxon is None:
        typer.echo(f"{match.said!r} is a question ({match.how}). Which one is it?")
        for one in match.candidates:
            typer.echo(f"  {one.taxon} ({one.scientific_name})")
        if not match.candidates:
            typer.echo(
                "  nothing in the pack is spelt like it; it can be written down as it is, and stays open"
            )
        return
    found = pack[match.taxon]
    common = f", {found.common_names[0]}" if found.common_names else ""
    typer.echo(f"{found.key}: {found.scientific_name}{common} ({found.rank}; by {match.how})")
    if match.stage:
        typer.echo(f"  stage: {match.stage}")
    if match.doubt:
        typer.echo("  doubt stays with it: it was said with a mark of doubt")
    for word, text in (("hazard", found.hazards), ("handling", found.handling), ("note", found.status_note)):
        if text:
            typer.echo(f"  {word}: {text}")
