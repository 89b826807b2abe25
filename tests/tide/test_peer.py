"""A library of other people reconstructs the same tide from the same constants: utide, within 5 cm.

The differences left are conventions: satellite constituents of its own instead of Schureman's node factors, other
M1 and 2MK3, and here the node corrections run with time where the agency holds them for the year.
"""

from __future__ import annotations

import importlib.util
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest

from haulbook.tide import water_at

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def bench():
    pytest.importorskip("utide")
    spec = importlib.util.spec_from_file_location("bench_tide", ROOT / "bench/tide.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def apart(bench, station, year):
    times = datetime(year, 1, 1, tzinfo=UTC).timestamp() + 3 * 3600.0 * np.arange(2920)
    peer = bench.peer_coefficients(station, datetime(year, 7, 2, 12, tzinfo=UTC), held=False)
    return np.abs(water_at(station, {}).heights(times) - bench.peer_heights(peer, times)).max()


@pytest.mark.parametrize("number", ["8452660", "8443970", "9418767", "9413450"])
def test_a_year_is_within_5_cm_of_a_general_library(bench, catalog, number):
    assert apart(bench, catalog.find(number), 2026) <= 0.05


def test_taking_sa_as_the_general_library_does_would_show(bench, catalog, monkeypatch):
    # The trap: the peer's SA is h - p1. Without taking p1 out of the phase the same comparison fails.
    station = catalog.find("9418767")
    monkeypatch.setattr(bench, "longitudes", lambda at: type("None", (), {"p1": 0.0}))
    assert apart(bench, station, 2026) > 0.08
