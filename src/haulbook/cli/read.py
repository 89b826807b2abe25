"""``haulbook read``: what tally sheets say, with everything a person has to look at."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from haulbook.cli.common import DONE, TO_SETTLE, leave, print_json

if TYPE_CHECKING:
    from haulbook.exchange.reading import Reading
    from haulbook.problems import Problem


def register(app: typer.Typer) -> None:
    """Add ``read``."""

    @app.command("read")
    def read(
        files: Annotated[
            list[Path], typer.Argument(help="Tally sheets: CSV, XLSX, ODS.", show_default=False)
        ],
        sheet_map: Annotated[
            Path, typer.Option("--map", help="Sheet map (TOML): what each column is.", show_default=False)
        ],
        confirm: Annotated[
            Path | None, typer.Option("--confirm", help="Answers to earlier questions (TOML).")
        ] = None,
        as_json: Annotated[bool, typer.Option("--json", help="Print everything as JSON.")] = False,
    ) -> None:
        """Read tally sheets and say what is in them: hauls, animals, and what has to be looked at.

        Nothing is written. Exit status 1 where something is asked or a row was refused, 2 where the
        sheets can't be read as the map says.

        Example: haulbook read catch.csv hauls.csv --map sheets.toml

        Example: haulbook read *.csv --map sheets.toml --confirm answers.toml --json
        """
        from haulbook.exchange.answers import read_answers
        from haulbook.exchange.map_toml import read_sheet_map
        from haulbook.exchange.reading import read_sheets

        answers = read_answers(confirm) if confirm else ()
        reading = read_sheets(
            files, read_sheet_map(sheet_map), answers, confirm.name if confirm else "the answers"
        )
        if as_json:
            print_json(reading.as_json())
        else:
            _show(reading)
        leave(TO_SETTLE if any(p.kind in ("asked", "refused") for p in reading.problems) else DONE)


_SHOWN = 3
"""Problems of one kind in one column that are written out; the rest is counted."""


def _show(reading: Reading) -> None:
    by_taxon = sorted(reading.by_taxon.items(), key=lambda item: -item[1])
    typer.echo(
        f"{len(reading.hauls)} hauls, {reading.rows} rows, {reading.animals} animals, {len(by_taxon)} names\n"
    )
    width = max((len(name) for name, _ in by_taxon), default=0)
    for name, n in by_taxon[:40]:
        typer.echo(f"{name:<{width}} {n:>9}")
    if len(by_taxon) > 40:
        typer.echo(f"... and {len(by_taxon) - 40} names more (see --json)")
    for (kind, file, column), problems in _grouped(reading.problems).items():
        where = ", ".join(part for part in (file, f"column {column}" if column else None) if part)
        typer.echo(f"\n{kind}, {where}: {len(problems)}", err=True)
        for problem in problems[:_SHOWN]:
            row = f"row {problem.row}: " if problem.row else ""
            typer.echo(f"  {row}{problem.message}", err=True)
        if len(problems) > _SHOWN:
            typer.echo(f"  ... and {len(problems) - _SHOWN} more like these (all with --json)", err=True)


def _grouped(problems: tuple[Problem, ...]) -> dict[tuple[str, str | None, str | None], list[Problem]]:
    """Return the problems by kind, file and column: refused first, notes last."""
    order = {"refused": 0, "asked": 1, "altered": 2, "note": 3}
    groups: dict[tuple[str, str | None, str | None], list[Problem]] = {}
    for problem in sorted(problems, key=lambda p: order[p.kind]):
        groups.setdefault((problem.kind, problem.file, problem.column), []).append(problem)
    return groups
