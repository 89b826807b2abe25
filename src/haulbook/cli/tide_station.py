"""A tide station by number or name, or from a CSV file with constants of its own."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from haulbook.problems import Problem, Refusal

if TYPE_CHECKING:
    from haulbook.tide import Station


def is_own(word: str) -> bool:
    """Say whether a station is named by a file of constants."""
    return word.casefold().endswith(".csv")


def tide_station(word: str, beside: Path = Path()) -> Station:
    """Return the packaged station of that number or name, or the one that a CSV file describes.

    Parameters
    ----------
    word : str
    beside : Path
        Folder that a file's name is looked for in.
    """
    from haulbook.tide import load_catalog, own_station

    if not is_own(word):
        return load_catalog().find(word)
    path = beside / word
    try:
        return own_station(path.read_text(encoding="utf-8-sig"), path.name)
    except FileNotFoundError:
        raise Refusal(f"there is no file {path}") from None
    except (OSError, UnicodeDecodeError) as problem:
        raise Refusal(Problem("refused", f"can't be read as text in UTF-8 ({problem})", str(path))) from None
