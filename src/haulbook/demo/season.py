"""The invented season as files that a station could have: sheets, map, permit, station, and its own book."""

from __future__ import annotations

from importlib.resources import files

import numpy as np

from haulbook.custody.book import Book
from haulbook.demo.book import book_of
from haulbook.demo.draw import SEED, draw_seasons
from haulbook.demo.sheets import sheets_of
from haulbook.taxa import load_pack

PAPERS = ("permit.toml", "station.toml", "map.toml")


def papers() -> dict[str, bytes]:
    """Return the invented permit, station file and sheet map by name."""
    return {name: files("haulbook.demo").joinpath(f"papers/{name}").read_bytes() for name in PAPERS}


def season(seed: int = SEED) -> tuple[dict[str, bytes], Book]:
    """Return the crew's sheets by name, and the book of the same seasons.

    Parameters
    ----------
    seed : int
        The same seed gives the same seasons, byte for byte.
    """
    outings = draw_seasons(seed)
    return sheets_of(outings), book_of(outings, load_pack("nwatlantic"), np.random.default_rng([seed, 1]))
