"""A bar on the screen while something long is done; nothing where no terminal is."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager


@contextmanager
def telling() -> Iterator[Callable[[str, int, int], None]]:
    """Return what is told how far something long is: words, how many are done, of how many."""
    if not sys.stderr.isatty() or not sys.stdout.isatty():
        yield lambda words, done, total: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TaskID, TextColumn, TimeRemainingColumn

    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bars:
        tasks: dict[str, TaskID] = {}

        def tell(words: str, done: int, total: int) -> None:
            if words not in tasks:
                tasks[words] = bars.add_task(words, total=total)
            bars.update(tasks[words], completed=done, total=total)

        yield tell
