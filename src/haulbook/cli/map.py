"""``haulbook map``: propose what the columns of somebody's tally sheets are."""

from __future__ import annotations

from pathlib import Path

import typer

from haulbook.cli.common import DONE, TO_SETTLE, leave, print_json


def register(app: typer.Typer) -> None:
    """Add the command to the app."""

    @app.command("map")
    def map_command(
        files: list[Path] = typer.Argument(
            ..., metavar="FILE...", help="CSV, XLSX or ODS files that belong together."
        ),
        out: Path | None = typer.Option(
            None, "--out", metavar="MAP.toml", help="Write the map here; without it the map is printed."
        ),
        pack: str | None = typer.Option(
            None, "--pack", help="nepacific or nwatlantic; by default the one that knows more of the names."
        ),
        zone: str | None = typer.Option(
            None, "--zone", help="Time zone of the clock, as America/Anchorage; asked by default."
        ),
        json: bool = typer.Option(
            False, "--json", help="Print what was understood, the questions and the map as JSON."
        ),
    ) -> None:
        """Propose a sheet map for tally sheets and show what was read; nothing is guessed that can be asked.

        Every line of the map says why it is there. Exit status 1: something has to be said first.

        Example: haulbook map site.csv fish.csv --pack nepacific --out MAP.toml
        """
        from haulbook.exchange.propose import propose
        from haulbook.exchange.propose_show import proposal_json, proposal_words
        from haulbook.exchange.propose_toml import proposal_toml, write_map

        proposal = propose(files, pack, zone)
        if out is not None:
            write_map(out, proposal)
        if json:
            print_json({**proposal_json(proposal), "out": str(out) if out else None})
        else:
            typer.echo(proposal_words(proposal))
            typer.echo(f"The map is in {out}." if out else proposal_toml(proposal))
        leave(TO_SETTLE if proposal.questions else DONE)
