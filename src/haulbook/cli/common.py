"""What every command shares: JSON out, problems to stderr, the three exit statuses."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable
from typing import Any, NoReturn

import typer

from haulbook.problems import Problem

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
