"""The ``haulbook`` command. Commands live one file each beside this one and import their work when called."""

from __future__ import annotations

import sys
import zoneinfo

import typer

from haulbook.cli import (
    account,
    call,
    care,
    demo,
    kit,
    name,
    plan,
    read,
    serve,
    station,
    sun,
    taxon,
    tide,
    verify,
)
from haulbook.cli import map as map_command
from haulbook.cli.common import REFUSED, print_problems
from haulbook.problems import Refusal

app = typer.Typer(
    name="haulbook",
    help="The book on every animal that a small seine brings up.\n\n"
    "Exit status: 0 done; 1 done, with findings, questions or a no-go that a person must settle; "
    "2 input or words off, or a check failed.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
)


COMMANDS = (
    map_command, read, account, verify, taxon, name, call, tide, sun, plan, kit, care, demo, serve, station,
)  # fmt: skip
for command in COMMANDS:
    command.register(app)


def main() -> None:
    """Run the command line; a refusal becomes one readable report and exit status 2, never a traceback."""
    zoneinfo.reset_tzpath(
        to=()
    )  # time zones from the tzdata package: an old system still changes clocks that stay
    try:
        app()
    except Refusal as refusal:
        print_problems(refusal.problems)
        sys.exit(REFUSED)
    except BrokenPipeError:  # the reader of a pipe left early, as `| head` does
        sys.exit(REFUSED)
