"""Invented sheets and maps, written where a test can read them."""

from __future__ import annotations

import pytest


@pytest.fixture
def put(tmp_path):
    """Write a file and return its path; text is written as UTF-8 exactly as given."""

    def put(name, content):
        path = tmp_path / name
        path.write_bytes(content if isinstance(content, bytes) else content.encode("utf-8"))
        return path

    return put


@pytest.fixture
def read(put):
    """Read one invented catch.csv (or several files) with a map; returns the reading."""
    from haulbook.exchange.map_toml import read_sheet_map
    from haulbook.exchange.reading import read_sheets

    def read(map_text, answers=(), **files):
        paths = [put(name.replace("__", "."), content) for name, content in files.items()]
        return read_sheets(paths, read_sheet_map(put("map.toml", map_text)), answers)

    return read
