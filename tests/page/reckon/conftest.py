"""The phone's arithmetic in a real browser beside Python's: cases made in one batch, answered by both."""

from __future__ import annotations

import importlib
import json
import sys
from pathlib import Path

import pytest

from haulbook.taxa import load_pack

ROOT = Path(__file__).resolve().parents[3]
CASES = ROOT / "tests/cases"


@pytest.fixture(scope="session")
def tool():
    """Import a module of ``tools/``: the same generators write the committed cases."""

    def load(name):
        sys.path.insert(0, str(ROOT / "tools"))
        try:
            return importlib.import_module(name)
        finally:
            sys.path.remove(str(ROOT / "tools"))

    return load


@pytest.fixture(scope="session")
def outings(tool):
    return tool("case_outings")


@pytest.fixture(scope="session")
def answers(tool):
    return tool("case_answers")


@pytest.fixture(scope="session")
def pack():
    return load_pack("nwatlantic")


@pytest.fixture(scope="session")
def case_text():
    """The text of a committed case file."""
    return lambda name: (CASES / f"{name}.json").read_text(encoding="utf-8")


@pytest.fixture(scope="session")
def case(case_text):
    """A committed case file, read."""
    return lambda name: json.loads(case_text(name))


@pytest.fixture(scope="session")
def parents(pack):
    """Key of every taxon with the one above it, as a kit has it."""
    return [{"key": key, "parent": next(iter(pack.lineage(key)), None)} for key in pack.taxa]
