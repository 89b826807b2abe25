"""``haulbook taxon``: what a name means, or who may be meant."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from haulbook.cli.common import DONE, TO_SETTLE, leave, print_json
from haulbook.problems import Refusal

if TYPE_CHECKING:
    from haulbook.taxa import Pack, Taxon
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
    if not name.strip():
        raise Refusal("the name is empty; write it as called, as in: haulbook taxon cunner --pack nwatlantic")
    match = resolve(name, taxa)
    if json_:
        print_json(_as_json(match, taxa))
    elif match.taxon is None:
        _ask(match)
    else:
        _answer(match, taxa[match.taxon], taxa)
    leave(DONE if match.certain else TO_SETTLE)


def _as_json(match: Match, pack: Pack) -> dict[str, object]:
    return {
        "certain": match.certain,
        "taxon": match.taxon,
        "scientific_name": pack[match.taxon].scientific_name if match.taxon else None,
        "stage": match.stage,
        "doubt": match.doubt,
        "how": match.how,
        "candidates": [
            {"taxon": one.taxon, "scientific_name": one.scientific_name, "score": one.score}
            for one in match.candidates
        ],
    }


def _ask(match: Match) -> None:
    typer.echo(f"{match.said!r} is a question ({match.how}). Which one is it?")
    for one in match.candidates:
        typer.echo(f"  {one.taxon} ({one.scientific_name})")
    if not match.candidates:
        typer.echo("  nothing in the pack is spelt like it")
    typer.echo(
        "Say one of the pack's names, or leave it open: it is counted as written, as a taxon of its own."
    )


def _answer(match: Match, found: Taxon, pack: Pack) -> None:
    from haulbook.care.cautions import PERMIT, caution_of

    common = f", {found.common_names[0]}" if found.common_names else ""
    typer.echo(f"{found.key}: {found.scientific_name}{common} ({found.rank}; understood by {match.how})")
    if match.stage:
        typer.echo(f"  stage: {match.stage}")
    if match.doubt:
        typer.echo("  doubt: it was said with a mark of doubt, which stays with the animals")
    caution = caution_of(found, pack.lineage(found.key), pack.taxa)
    said = [("hazard", caution.hazards), ("handling", caution.handling)] if caution else []
    for word, text in (*said, ("note", found.status_note)):
        if text:
            typer.echo(f"  {word}: {text}")
    typer.echo(f"  {PERMIT}")
