"""Writes several files so that either all of them are new or nothing has changed."""

from __future__ import annotations

import contextlib
import tempfile
from collections.abc import Mapping
from pathlib import Path

from haulbook.problems import Problem, Refusal


def write_all(folder: Path, files: Mapping[str, bytes]) -> None:
    """Write ``files`` into ``folder``, making it where it is missing; other files there stay.

    Each file is written beside its place and moved only once all are written, so a full disk or a pulled
    plug leaves what was there.

    Raises
    ------
    Refusal
        Where the folder can't be made or written to; nothing has changed then.
    """
    waiting: list[tuple[Path, Path]] = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".writing-", dir=folder) as beside:
            for i, (name, content) in enumerate(files.items()):
                written = Path(beside) / str(i)
                written.write_bytes(content)
                waiting.append((written, folder / name))
            for _, place in waiting:
                if place.is_dir():
                    raise Refusal(
                        Problem("refused", "a folder stands where the file goes; move it away", str(place))
                    )
            for written, place in waiting:
                written.replace(place)
    except OSError as error:
        with contextlib.suppress(OSError):
            folder.rmdir()  # only succeeds where this call made it and nothing is in it
        raise Refusal(
            Problem(
                "refused", f"can't write here ({error.strerror or error}); nothing was written", str(folder)
            )
        ) from None
