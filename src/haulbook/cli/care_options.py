"""Options and endings that the care commands share."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated

import typer

from haulbook.cli.common import DONE, TO_SETTLE, leave, print_problems
from haulbook.problems import Problem

Temperature = Annotated[float, typer.Option(help="Temperature of the water, degrees C.")]
Salinity = Annotated[float, typer.Option(help="Practical salinity (parts per thousand), no unit.")]
AsJson = Annotated[bool, typer.Option("--json", help="Print JSON instead of words.")]
Scale = Annotated[
    str, typer.Option(help="pH scale: nbs (ordinary meter, NBS buffers) or total (Tris buffers, dye).")
]


def say(*lines: str) -> None:
    """Print lines of plain words."""
    for line in lines:
        typer.echo(line)


def settle(questions: Iterable[str]) -> None:
    """End the command: with 1 and the questions on standard error where a person has to settle some."""
    asked = [Problem("asked", each) for each in questions]
    print_problems(asked)
    leave(TO_SETTLE if asked else DONE)
