"""The command ``haulbook verify``: is every entry of a book still what was written."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from haulbook.cli.common import REFUSED, leave, print_json, print_problems


def register(app: typer.Typer) -> None:
    """Add the command to the program."""

    @app.command("verify")
    def verify(
        book: Annotated[Path, typer.Argument(metavar="BOOK", help="A book file (JSON Lines).")],
        json: Annotated[bool, typer.Option("--json", help="Print what was found as JSON.")] = False,
    ) -> None:
        """Say whether every entry of a book is still what was written, or name the first line that is not.

        Looks at every byte, every hash, and every link between entries of a device.
        Exit status: 0 everything stands; 2 something does not.
        Lines cut off the end can't be seen: compare the last numbers it prints with another copy.

        Example:
            haulbook verify season/book.jsonl
            haulbook verify season/book.jsonl --json
        """
        from haulbook.exchange.bookfile import verify_book

        found = verify_book(book)
        last: dict[str, int] = {}
        for entry in found.book.entries:
            last[entry.device] = max(entry.seq, last.get(entry.device, 0))
        problems = found.problems
        if json:
            print_json(
                {
                    "book": str(book),
                    "entries": len(found.book.entries),
                    "last": last,
                    "first_bad_line": problems[0].row if problems else None,
                    "problems": [problem.as_json() for problem in problems],
                }
            )
        elif not problems:
            devices = ", ".join(f"{device} 1 to {seq}" for device, seq in sorted(last.items()))
            typer.echo(
                f"{book}: {len(found.book.entries)} entries, all as written"
                + (f" ({devices})" if last else "")
            )
        if problems:
            print_problems(problems[:1])
            if len(problems) > 1:
                typer.echo(f"{len(problems) - 1} more; --json lists them", err=True)
            leave(REFUSED)
