"""What every command shares: JSON out, problems to stderr, the three exit statuses."""

from __future__ import annotations

import json
import os
import sys
import webbrowser
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any, NoReturn, TypeVar

import typer

from haulbook.problems import Problem, Refusal

T = TypeVar("T")

DONE, TO_SETTLE, REFUSED = 0, 1, 2
"""Exit statuses: done; done, with something a person must settle; input or words off, or a check failed."""


def print_json(value: Any) -> None:
    """Write ``value`` as JSON on standard output."""
    sys.stdout.write(json.dumps(value, ensure_ascii=False, indent=1) + "\n")


def print_problems(problems: Iterable[Problem]) -> None:
    """Write each problem as one line on standard error."""
    for problem in problems:
        sys.stderr.write(f"{problem.kind}: {problem}\n")


def leave(status: int) -> NoReturn:
    """End the command with one of the three statuses."""
    raise typer.Exit(status)


def show(page: Path) -> None:
    """Open a page in the browser; where there is no screen, say where it lies."""
    no_screen = sys.platform.startswith("linux") and not {"DISPLAY", "WAYLAND_DISPLAY"} & os.environ.keys()
    if no_screen or not webbrowser.open(page.resolve().as_uri()):
        typer.echo(f"Open it in a browser: {page}")


class Together:
    """Reads several files so that what is wrong in any of them is reported at once."""

    def __init__(self) -> None:
        self._problems: list[Problem] = []

    def read(self, reader: Callable[..., T], *words: Any) -> T | None:
        """Return what ``reader`` makes of ``words``; None where it refused, which is kept for the end."""
        try:
            return reader(*words)
        except Refusal as refusal:
            self._problems += refusal.problems
            return None

    def refuse(self) -> None:
        """Refuse with everything that was found, if anything was."""
        if self._problems:
            raise Refusal(self._problems)
