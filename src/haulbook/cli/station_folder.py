"""How every ``haulbook station`` command finds its station."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from haulbook.cli.progress import telling
from haulbook.problems import Refusal

if TYPE_CHECKING:
    from haulbook.station.store.sealed import Told

USUAL = Path("season/station")
Station = Annotated[Path, typer.Option("--station", help="The station's folder.")]
AsJson = Annotated[bool, typer.Option("--json", help="Print what was done as JSON.")]


@contextmanager
def opened(folder: Path, *, new: bool = False) -> Iterator[Told]:
    """Connect to a station; one that is not there is only made where a command fills it."""
    from haulbook.station.folder import DATABASE_URL, Folder
    from haulbook.station.serving import connect, disconnect

    if not new and not os.environ.get(DATABASE_URL) and not Folder(folder).sqlite.exists():
        raise Refusal(f"there is no station in {folder}; name its folder with --station")
    connect(folder)
    try:
        with telling() as told:
            yield told
    finally:
        disconnect()  # without it a pool of connections keeps the command from ending for seconds
